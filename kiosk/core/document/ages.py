"""The rules at an age: what a relaxation lifts is not asked, what it gives takes the place of the document's own."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from kiosk.core.document.limits import CaptureLimit, Length
from kiosk.core.document.requirements import Relaxation

LIFTED = (
    "eye_line",
    "margin_above",
    "margin_below",
    "eyes_from_top",
    "chin_to_eyes",
    "eye_distance",
    "head_width",
    "face_centre",
)
"""Lengths that a relaxation may lift, beside the limits of capture."""

REPLACED = ("size", "head_height", *LIFTED, "background")
"""What a relaxation may give anew."""


def relaxed(relaxation: Relaxation, capture: Mapping[str, CaptureLimit]) -> dict[str, Any]:
    """Return a document's fields that a relaxation changes, by name.

    Parameters
    ----------
    capture
        The limits of capture so far.
    """
    fields: dict[str, Any] = {name: None for name in relaxation.lifts if name in LIFTED}
    if "face_centre" in fields:
        fields["face_centre"] = _anywhere(relaxation)
    given = {name: getattr(relaxation, name) for name in REPLACED}
    fields |= {name: rule for name, rule in given.items() if rule is not None}
    kept = {name: limit for name, limit in capture.items() if name not in relaxation.lifts}
    return {**fields, "capture": {**kept, **relaxation.capture}}


def _anywhere(relaxation: Relaxation) -> Length:
    """Return a place of the face that every photo has, where the middle is not asked for."""
    read = relaxation.model_dump(include={"source", "evidence", "read_on"})
    return Length(min=0.0, max=1.0, unit="fraction_of_width", **read)
