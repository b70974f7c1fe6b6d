"""Measure whether the eyes look into the camera."""

from __future__ import annotations

import math

import numpy as np

from kiosk.core.base.measurement import Measurement
from kiosk.vision.face.face_model import FaceShape
from kiosk.vision.face.upright_crop import EYE_CORNERS
from kiosk.vision.measures.eyes_open import openings

IRISES = (468, 473)
"""Middles of the right and the left iris."""

SHIFT_PER_DEG = 0.0055
"""The iris's shift per degree, in eye widths: rendered eyes turned by 17 degrees in a straight head."""

YAW_SHARE = 0.8
"""How much of the head's yaw the irises of eyes that stay on the camera make up for, as the mesh reads them: where
people in photographs and rendered heads turned by up to 20 degrees differ least."""

GAZE_SD_DEG = 2.6
"""Standard deviation for eyes that look straight, in heads turned by less than 8 degrees: 1.7 in a studio, 2.6 in
official portraits."""

GAZE_SD_PER_YAW = 0.3
"""The standard deviation that each degree of yaw adds: the irises of eyes that look into the camera from a head turned
by 24 degrees stopped short by 12."""

GAZE_HIDDEN_SD_DEG = 22.0
"""Standard deviation for completely hidden eyes: behind glare over half of the lens, eyes that look straight read up to
15 degrees."""

STRAIGHT_UP, SHIFT_DOWN_PER_DEG, DOWN_SD_DEG = 0.062, 0.0033, 4.5
"""How far the irises lie above the eye corners in eyes that look straight, in eye widths (460 people in photographs,
standard deviation 0.014); how far they sink for a degree, by rendered eyes that look at the camera from heads that are
lifted by 9 to 27 degrees; and what the former makes of the latter."""

SURE_SD = 3.0
"""Eyes count as looking down only if the scatter between people does not explain it: beyond this many of its standard
deviations."""

LEAST_OPEN = 0.2
"""Lid gap over eye width below which the mesh guesses how high the irises lie."""


def measure_gaze(shape: FaceShape, yaw_deg: float, pitch_deg: float, hidden: float = 0.0) -> Measurement:
    """Return the angle between gaze and camera in degrees, positive to the right of the picture, up to 30.

    "Looking away" of the published benchmark tests; ISO/IEC 29794-5 has no component for it. The irises' mean shift
    from the middle of the eye corners, over the eye's width, is turned into degrees, and the head's yaw is made up for:
    a sitter with a turned head who looks into the lens reads zero. The shift saturates beyond 20 degrees. Eyes that
    look far down count as well. Eyes that look up are not seen: lids follow a rising iris, and people's lids differ by
    more than that.

    Parameters
    ----------
    shape
        The aligned face.
    yaw_deg
        The head's yaw, from `measure_yaw`.
    pitch_deg
        The head's pitch, from `measure_pitch`: a lifted head that looks into the lens lowers its eyes.
    hidden
        The hidden fraction of the eyes, from `eye_cover.hidden_share`.
    """
    points = shape.to_upright(shape.landmarks_px[:, :2])
    shifts = []
    for pupil, (left, right) in zip(IRISES, EYE_CORNERS, strict=True):
        width = max(float(np.linalg.norm(points[right] - points[left])), 1e-9)
        shifts.append((points[pupil] - (points[left] + points[right]) / 2) / width)
    across, up = np.mean(shifts, axis=0).tolist()
    sideways_deg = across / SHIFT_PER_DEG + YAW_SHARE * yaw_deg
    down_deg = (STRAIGHT_UP - up) / SHIFT_DOWN_PER_DEG - max(0.0, pitch_deg)
    sd_deg = math.hypot(GAZE_SD_DEG, GAZE_SD_PER_YAW * yaw_deg, GAZE_HIDDEN_SD_DEG * hidden)
    if down_deg < SURE_SD * DOWN_SD_DEG or min(openings(shape.landmarks_px)) < LEAST_OPEN:
        return Measurement("gaze", sideways_deg, "deg", sd_deg)
    past_deg = math.copysign(math.hypot(sideways_deg, down_deg), sideways_deg)
    return Measurement("gaze", past_deg, "deg", math.hypot(sd_deg, DOWN_SD_DEG))
