"""When, and for which reasons, an attendant may pass a photo that the booth did not."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Literal

from kiosk.core.judging.conformance import Judgement

OverrideReason = Literal["measured_by_hand", "medical", "head_covering", "infant", "authority_agrees", "other"]
"""The reason for an override. The list is fixed, so that nobody can enter a name as free text."""

REASONS: Mapping[OverrideReason, str] = {
    "measured_by_hand": "Measured by hand and found right",
    "medical": "Medical condition or disability",
    "head_covering": "Head covering worn for belief",
    "infant": "Infant or young child",
    "authority_agrees": "The authority has agreed to it",
    "other": "Another reason",
}
"""The reasons as the attendant reads them."""


def unprintable(judgement: Judgement) -> str:
    """Return why no print can be made of this photo, or an empty string.

    No override helps a photo without a head, with a frame that reaches outside the still, or with fewer pixels than
    the document requires.
    """
    if judgement.plan is None:
        return "no single head was found in it"
    if not judgement.plan.is_inside:
        return "its frame reaches outside the picture"
    resolution = next((f for f in judgement.findings if f.measurement.name == "resolution"), None)
    if resolution is not None and resolution.measurement.value is not None:
        low = resolution.limit.low
        if low is not None and resolution.measurement.value < low:
            return "it has fewer pixels than the document asks for"
    return ""
