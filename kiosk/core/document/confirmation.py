"""Which documents a booth may offer: rules quoted from memory first need a person's confirmation."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import date, timedelta

from pydantic import Field

from kiosk.core.document.document import Document
from kiosk.core.document.limits import Model

RULES_LAST = timedelta(days=365)
"""How long rules count as current: authorities change them without notice, so the source is reread yearly (practice).
"""


class Confirmation(Model):
    """A person's statement that the document's file agrees with the authority's own text."""

    document: str = Field(min_length=1)
    by: str = Field(min_length=1)
    on: date
    source: str = Field(min_length=1)


def unverified_geometry(document: Document) -> tuple[str, ...]:
    """Return the keys of binding geometry for which memory is the only evidence.

    Binding geometry is what no photo can be cut without: the print's size or the upload's pixels, the head height, and
    the point on the head to which it is measured. Any other limit from memory can only narrow what the verified ones
    allow.
    """
    binding = {"head_top", "head_height", "upload.pixels" if document.size is None else "size"}
    return tuple(key for key, rule in document.rules() if key in binding and rule.evidence == "memory")


def is_confirmed(document: Document, confirmations: Iterable[Confirmation]) -> bool:
    """Return whether a person has confirmed the document since its rules were read."""
    return any(each.document == document.id and each.on >= document.read_on for each in confirmations)


def is_trusted(document: Document, confirmations: Iterable[Confirmation]) -> bool:
    """Return whether a booth may offer the document."""
    return not unverified_geometry(document) or is_confirmed(document, confirmations)


def settled(document: Document, confirmations: Iterable[Confirmation]) -> Document:
    """Return the document with its contradicting sources dropped if a person has confirmed its own values."""
    if not is_confirmed(document, confirmations):
        return document
    contradicted = {
        name: rule.model_copy(update={"contradicted_by": ()})
        for name in type(document).model_fields
        if getattr(rule := getattr(document, name), "contradicted_by", ())
    }
    return document.model_copy(update=contradicted)


def is_stale(document: Document, today: date) -> bool:
    """Return whether any of the document's rules was read more than a year ago."""
    return today - document.read_on > RULES_LAST
