"""The shutter fires when everything has held: every live requirement kept and the head at rest for `HOLD_S`."""

from __future__ import annotations

from dataclasses import dataclass

from kiosk.core.base.care import Care
from kiosk.core.base.geometry import Point
from kiosk.core.base.measurement import Observation
from kiosk.core.session.carer import CHILD_HOLD_S, CHILD_REST_SHARE

HOLD_S = 1.0
"""How long everything must hold (practice)."""
REST_SHARE = 0.03
"""How far the eyes may drift meanwhile, of the head height: three times the noise of live landmarks (measured)."""


@dataclass(frozen=True, slots=True)
class Hold:
    """Since when the sitter has held still, where the eyes were then, and how long it must last."""

    since_s: float | None = None
    eyes: Point | None = None
    lasts_s: float = HOLD_S

    def fraction(self, now_s: float) -> float:
        """Return how much of the time has passed, 0 to 1."""
        return 0.0 if self.since_s is None else min(1.0, max(0.0, (now_s - self.since_s) / self.lasts_s))

    def complete(self, now_s: float) -> bool:
        """Return whether the shutter may fire."""
        return self.fraction(now_s) >= 1.0


def hold(before: Hold, seen: Observation, all_kept: bool, now_s: float, care: Care = "self") -> Hold:
    """Return the hold after one more live picture; it starts again when a requirement breaks or the head moves."""
    if not all_kept or seen.points is None:
        return Hold()
    eyes = seen.points.eye_centre
    rest_share, lasts_s = (REST_SHARE, HOLD_S) if care == "self" else (CHILD_REST_SHARE, CHILD_HOLD_S)
    rest_px = rest_share * seen.points.head_height_px()
    if before.since_s is None or before.eyes is None or before.eyes.distance(eyes) > rest_px:
        return Hold(now_s, eyes, lasts_s)
    return before
