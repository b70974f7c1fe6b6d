"""Why a print or a file should not be made of a photo, though it could be."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from kiosk.core.document.document import Document
from kiosk.core.judging.conformance import Judgement
from kiosk.render.report.plain_words import requirement


@dataclass(frozen=True, slots=True)
class Objection:
    """A reason, as the note in the sheet's margin and as part of a sentence."""

    note: str
    reason: str


def objections(document: Document, judgement: Judgement, *, is_confirmed: bool) -> tuple[Objection, ...]:
    """Return what speaks against making a print or a file for a document.

    Parameters
    ----------
    document
        The document as it binds at this site.
    judgement
        The photo's, by that document.
    is_confirmed
        Whether the document's sizes were read, or a person has confirmed them.
    """
    return tuple(_objections(document, judgement, is_confirmed))


def _objections(document: Document, judgement: Judgement, is_confirmed: bool) -> Iterator[Objection]:
    failed = [finding.measurement.name for finding in judgement.findings if finding.word == "fail"]
    if failed:
        names = ", ".join(requirement(name) for name in failed)
        yield Objection(f"DOES NOT CONFORM: {names}", f"the photo does not conform ({names})")
    is_beyond = document.delivery is not None and document.delivery.is_beyond_booth
    if document.channel.value == "not_accepted" or is_beyond:
        yield Objection("NOT ACCEPTED BY THE AUTHORITY", "the authority takes no such photo")
    if not is_confirmed:
        yield Objection("SIZES FROM MEMORY, NOT CONFIRMED", "the document's sizes are from memory, not confirmed")
