"""When an attendant may pass a photo that the measurements do not, and for which reasons."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Literal

from kiosk.core.judging.conformance import Judgement

OverrideReason = Literal["measured_by_hand", "medical", "head_covering", "infant", "authority_agrees", "other"]
"""Why an attendant passes a photo that the booth did not: keys of a fixed list, so that no name gets into it."""

REASONS: Mapping[OverrideReason, str] = {
    "measured_by_hand": "Measured by hand and found right",
    "medical": "Medical condition or disability",
    "head_covering": "Head covering worn for belief",
    "infant": "Infant or young child",
    "authority_agrees": "The authority has agreed to it",
    "other": "Another reason",
}
"""In the attendant's words."""


def unprintable(judgement: Judgement) -> str:
    """Say why no attendant can pass this photo, or nothing where one can: what is not in the picture cannot be printed.

    A photo without a head, with a frame that reaches outside the still, or with fewer pixels than the document asks
    for gives no print at all, whoever passes it.
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
