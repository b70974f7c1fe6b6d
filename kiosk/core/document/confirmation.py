"""Which documents a booth may offer: what is only remembered waits for a person who has read it."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import date, timedelta

from pydantic import Field

from kiosk.core.document.document import Document
from kiosk.core.document.limits import Model

RULES_LAST = timedelta(days=365)
"""Authorities change their rules without notice; after a year the copy must be read again (practice)."""


class Confirmation(Model):
    """A person has read the authority's own text and found the file right."""

    document: str = Field(min_length=1)
    by: str = Field(min_length=1)
    on: date
    source: str = Field(min_length=1)


def unverified_geometry(document: Document) -> tuple[str, ...]:
    """Return the keys of binding geometry that rests on memory.

    Binding is what no photo can be cut without: the print's size or the upload's pixels, the head height, and the top
    of the head it is measured to. A remembered limit beyond these only narrows what the verified ones allow.
    """
    binding = {"head_top", "head_height", "upload.pixels" if document.size is None else "size"}
    return tuple(key for key, rule in document.rules() if key in binding and rule.evidence == "memory")


def is_confirmed(document: Document, confirmations: Iterable[Confirmation]) -> bool:
    """Tell whether a person has confirmed the document since its rules were read."""
    return any(each.document == document.id and each.on >= document.read_on for each in confirmations)


def is_trusted(document: Document, confirmations: Iterable[Confirmation]) -> bool:
    """Tell whether a booth may offer the document."""
    return not unverified_geometry(document) or is_confirmed(document, confirmations)


def settled(document: Document, confirmations: Iterable[Confirmation]) -> Document:
    """Return the document as it binds: once confirmed, its own values hold and contradicting sources are dropped."""
    if not is_confirmed(document, confirmations):
        return document
    contradicted = {
        name: rule.model_copy(update={"contradicted_by": ()})
        for name in type(document).model_fields
        if getattr(rule := getattr(document, name), "contradicted_by", ())
    }
    return document.model_copy(update=contradicted)


def is_stale(document: Document, today: date) -> bool:
    """Tell whether any of the document's rules was read more than a year ago."""
    return today - document.read_on > RULES_LAST
