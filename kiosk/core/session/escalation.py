"""What the coach does when its words do not help: other words, centimetres, a person, and for an empty seat the end."""

from __future__ import annotations

import math

from kiosk.core.base.anthropometry import INTER_EYE_MM
from kiosk.core.base.geometry import Range
from kiosk.core.base.measurement import Observation

OTHER_WORDS_S = 6.0
"""How long an instruction is shown in the same words (practice: read, understood and tried twice)."""
PERSON_AFTER_S = 45.0
"""How long a sitter is coached before a person is offered; the bench's confused sitters need 15 s at most."""
EMPTY_SEAT_S = 30.0
"""How long the seat may be empty before the booth says that the session ends (practice: long enough to fetch a child or
to hang up a coat)."""
PERSON_AFTER_SHOTS = 2
"""How many shots that did not pass make a person worth offering."""


def has_other_words(since_s: float, now_s: float) -> bool:
    """Return whether an instruction shown since `since_s` is now said in its other words; both take turns."""
    return math.isfinite(since_s) and int((now_s - since_s) / OTHER_WORDS_S) % 2 == 1


def wants_person(aligning_since_s: float, shots: int, now_s: float) -> bool:
    """Return whether a person is to be offered."""
    return shots >= PERSON_AFTER_SHOTS or now_s - aligning_since_s >= PERSON_AFTER_S


def height_off_cm(seen: Observation, eye_y: Range) -> int:
    """Return by how many centimetres the eye line is too low, negative where it is too high.

    The scale is the picture's own: pixels between the eyes, turned back by the yaw, stand for the distance between
    the pupils of an adult. That distance's spread of 6 % (Dodgson 2004) is all that the centimetres are off by, and
    a child of five, whose eyes are 51 mm apart, is told a quarter too many.

    Parameters
    ----------
    seen
        What was seen; 0 is returned where no head was.
    eye_y
        Where the eye line belongs, in shares of the picture's height.
    """
    points = seen.points
    if points is None or points.inter_eye_px <= 0:
        return 0
    yaw = seen.measurements.get("yaw")
    turned = 0.0 if yaw is None or yaw.value is None else math.radians(yaw.value)
    px_per_mm = points.inter_eye_px / (INTER_EYE_MM * max(math.cos(turned), 0.5))
    off_px = points.eye_centre.y - eye_y.middle * seen.height_px
    return round(off_px / px_per_mm / 10)
