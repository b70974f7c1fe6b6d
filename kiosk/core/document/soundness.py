"""What no single rule of a document can know: whether its rules fit each other, and whether any head fits them all."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from kiosk.core.document.head_fit import VerticalLimits, possible_heads_mm
from kiosk.core.document.limits import CONTRADICTION, Length, RuleError, range_words
from kiosk.core.document.requirements import BY_EYE

if TYPE_CHECKING:
    from kiosk.core.document.document import Document

LEAST_ABOVE_EYES, MOST_ABOVE_EYES = 0.40, 0.60
"""Share of the head above the eye line, among all sitters. ANSUR II gives 0.444 to 0.525 to the crown (5th to 95th
percentile, men and women, computed from the public data); hair adds to the upper end (practice)."""


def check(document: Document) -> None:
    """Refuse a document whose rules contradict each other.

    Raises
    ------
    RuleError
        The first fault, with its key.
    """
    if document.size is None and document.upload is None:
        raise RuleError("size", "give the size of a print, an upload, or both")
    _check_units(document)
    _check_rules(document)
    _check_channel(document)
    if not document.backdrop_colours:
        raise RuleError("upload.background", "no colour suits the print and the upload")
    _check_fit(document, "")
    for index, relaxation in enumerate(document.relaxations, start=1):
        if relaxation.size is not None and document.size is None:
            raise RuleError(f"relaxations.{index}.size", "the document has no print")
        _check_fit(document.for_age(relaxation.from_age_years), f"relaxations.{index}.")


def _check_units(document: Document) -> None:
    compression = None if document.upload is None else document.upload.compression
    for name, limit, units in (
        ("resolution", document.resolution, ("dpi",)),
        ("recency", document.recency, ("months", "days")),
        ("upload.compression", compression, ("ratio",)),
    ):
        if limit is not None and limit.unit not in units:
            raise RuleError(f"{name}.unit", f"{limit.unit!r}; it is given in {' or '.join(map(repr, units))}")


def _check_rules(document: Document) -> None:
    for key, rule in document.rules():
        if rule.superseded and "contradicted_by" not in key:
            raise RuleError(f"{key}.superseded", "only a rule in contradicted_by can be superseded")
        if isinstance(rule, Length) and rule.range_mm(document.frame_mm).is_empty:
            raise RuleError(f"{key}.contradicted_by", CONTRADICTION)
    for name, statement in document.statements.items():
        if statement.by_eye and name not in BY_EYE:
            raise RuleError(f"statements.{name}.by_eye", f"only {', '.join(BY_EYE)} are told to be looked at")


def _check_channel(document: Document) -> None:
    """Take a booth's photo for accepted only where somebody has read so, and read the sizes as well."""
    if document.channel.value != "self_service":
        return
    if document.channel.evidence == "memory":
        raise RuleError("channel.value", "what is known from memory is 'unconfirmed': the sitter asks the office")
    borrowed = [key for key, rule in document.geometry() if rule.evidence == "practice"]
    if borrowed and document.channel.evidence != "practice":
        raise RuleError("channel.value", f"'unconfirmed' where a rule is borrowed from practice: {borrowed[0]}")


def _check_fit(document: Document, prefix: str) -> None:
    """Name the first limit that leaves no place for any head, each added to those before it."""
    every = document.vertical_limits
    limits = VerticalLimits(every.frame_height_mm, every.head_height_mm)
    for key in ("head_height", "eye_line", "margin_above", "margin_below"):
        limits = replace(limits, **{f"{key}_mm": getattr(every, f"{key}_mm")})
        if possible_heads_mm(limits, LEAST_ABOVE_EYES, MOST_ABOVE_EYES).is_empty:
            heads = range_words(every.head_height_mm, "mm")
            reason = f"no head of {heads} fits it in a photo {every.frame_height_mm:.5g} mm high"
            raise RuleError(prefix + key, reason)
