"""Whether the eyes look into the camera."""

from __future__ import annotations

import math

import numpy as np

from kiosk.core.measurement import Measurement
from kiosk.vision.eyes_open import openings
from kiosk.vision.face_model import Shape
from kiosk.vision.upright import EYE_CORNERS

IRISES = (468, 473)
"""Middles of the right and the left iris."""

STRAIGHT_UP, SHIFT_DOWN_PER_DEG, DOWN_SD_DEG = 0.055, 0.0033, 6.0
"""How far the irises lie above the eye corners in eyes that look straight, in eye widths (63 sitters of the tuning
half, standard deviation 0.02); how far they sink for a degree, by eyes that look at the camera from heads that are
lifted by 9 to 27 degrees; and what the former makes of the latter."""

STRAIGHT_LID, RISE_PER_DEG, UP_SD_DEG = -0.144, 0.0049, 6.3
"""How far the middles of the lower lids lie above the eye corners in eyes that look straight, in eye widths (44 sitters
of the tuning half; added to the irises' height, standard deviation 0.031); how far irises and lids together rise for a
degree (6 sitters who look up by 16 to 24 degrees); and what the former makes of the latter."""

LID_PER_IRIS = 2.0
"""A lower lid that rises by more than this much of what the iris does is squinting."""

LOWER_LIDS = (145, 374)

SURE_SD = 2.0
"""Eyes are taken to look down or up only where people's own scatter does not explain it: beyond so many of its standard
deviations."""

LEAST_OPEN = 0.2
"""Lid gap over eye width below which the mesh guesses how high the irises lie."""

SHIFT_PER_DEG = 0.0055
"""By how much of the eye's width the iris moves for a degree: rendered eyes that look at the camera from heads turned
by up to 16 degrees, and rendered eyes turned by 17 degrees in a straight head."""

GAZE_SD_DEG = 2.5
"""Of eyes that look straight, over the compliant rendered sitters of the tuning half, rounded up."""

GAZE_SD_PER_YAW = 0.3
"""What a degree of the head's yaw adds: the irises of eyes that look into the camera from a head turned by 24 degrees
stopped short by 12."""

GAZE_HIDDEN_SD_DEG = 22.0
"""For eyes hidden altogether: behind glare over half of the lens, eyes that look straight read up to 15 degrees."""


def measure_gaze(shape: Shape, yaw_deg: float, pitch_deg: float, hidden: float = 0.0) -> Measurement:
    """Return by how many degrees the eyes look past the camera, positive to the right of the picture, up to 30.

    "Looking away" of the published benchmark tests; ISO/IEC 29794-5 has no component for it. The irises' mean shift
    from the middle of the eye corners, over the eye's width, is turned into degrees, and the head's yaw is added: a
    sitter with a turned head who looks into the lens reads zero. The shift saturates beyond 20 degrees. Eyes that look
    far up or down count as well. Lids follow an iris that rises, and hide how far; the lower lid tells.

    Parameters
    ----------
    shape
        The aligned face.
    yaw_deg
        Of the head, from `measure_yaw`.
    pitch_deg
        Of the head, from `measure_pitch`: a lifted head that looks into the lens lowers its eyes, a bent one lifts
        them.
    hidden
        How much of the eyes is hidden, from `eye_cover.hidden_share`.
    """
    points = shape.to_upright(shape.landmarks_px[:, :2])
    shifts, lids = [], []
    for pupil, edge, (left, right) in zip(IRISES, LOWER_LIDS, EYE_CORNERS, strict=True):
        middle = (points[left] + points[right]) / 2
        width = max(float(np.linalg.norm(points[right] - points[left])), 1e-9)
        shifts.append((points[pupil] - middle) / width)
        lids.append(float((points[edge] - middle)[1]) / width)
    across, up = np.mean(shifts, axis=0).tolist()
    sideways_deg = across / SHIFT_PER_DEG + yaw_deg
    down_deg = (STRAIGHT_UP - up) / SHIFT_DOWN_PER_DEG - max(0.0, pitch_deg)
    iris, lid = up - STRAIGHT_UP, float(np.mean(lids)) - STRAIGHT_LID
    up_deg = (iris + min(lid, LID_PER_IRIS * max(0.0, iris))) / RISE_PER_DEG - max(0.0, -pitch_deg)
    sd_deg = math.hypot(GAZE_SD_DEG, GAZE_SD_PER_YAW * yaw_deg, GAZE_HIDDEN_SD_DEG * hidden)
    nod_deg, nod_sd_deg = max((down_deg, DOWN_SD_DEG), (up_deg, UP_SD_DEG))
    if nod_deg < SURE_SD * nod_sd_deg or min(openings(shape.landmarks_px)) < LEAST_OPEN:
        return Measurement("gaze", sideways_deg, "deg", sd_deg)
    past_deg = math.copysign(math.hypot(sideways_deg, nod_deg), sideways_deg)
    return Measurement("gaze", past_deg, "deg", math.hypot(sd_deg, nod_sd_deg))
