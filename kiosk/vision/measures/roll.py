"""Measure the roll of the head relative to the line of sight, like all angles (`yaw`)."""

from __future__ import annotations

import math

from kiosk.core.base.measurement import Measurement
from kiosk.vision.face.face_model import FaceShape

ROLL_SD_DEG, ROLL_SD_PER_DEG = 0.3, 0.017
"""Standard deviation for heads turned and nodded by less than 12 degrees, from identities the fit has not seen (336
pictures of 128 rendered people, `tests/bench/fit_face`), and what each degree of yaw adds: 0.56 at 28 degrees."""

ROLL_SD_HIDDEN_DEG = 1.6
"""Standard deviation of the roll for completely hidden eyes (`eye_cover.hidden_share`): a fringe or glare draws their
corners away by up to 1.4 degrees in the tuning half."""


def measure_roll(shape: FaceShape, hidden: float = 0.0) -> Measurement:
    """Return the roll in degrees, -180 to 180, positive with the crown leaning to the right of the picture.

    ISO/IEC 19794-5:2011, 7.2.2 (quoted) limits it to 8 degrees either way and recommends 5.

    Parameters
    ----------
    shape
        The aligned face.
    hidden
        The hidden fraction of the eyes, from `eye_cover.hidden_share`.
    """
    turned = ROLL_SD_PER_DEG * (shape.raw_deg[0] + shape.regressed["yaw"])
    uncertainty = math.hypot(ROLL_SD_DEG, turned, ROLL_SD_HIDDEN_DEG * hidden)
    return Measurement("roll", shape.raw_deg[2] + shape.regressed["roll"], "deg", uncertainty)
