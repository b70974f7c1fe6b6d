"""Whether the eyes look into the camera."""

from __future__ import annotations

import numpy as np

from kiosk.core.measurement import Measurement
from kiosk.vision.face_model import Shape
from kiosk.vision.upright import EYE_CORNERS

IRISES = (468, 473)
"""Middles of the right and the left iris."""

SHIFT_PER_DEG = 0.0055
"""By how much of the eye's width the iris moves for a degree: rendered eyes that look at the camera from heads turned
by up to 16 degrees, and rendered eyes turned by 17 degrees in a straight head."""

GAZE_SD_DEG = 2.5
"""Of eyes that look straight, over the compliant rendered sitters of the tuning half, rounded up."""


def measure_gaze(shape: Shape, yaw_deg: float) -> Measurement:
    """Return by how many degrees the eyes look past the camera sideways, positive to the right of the picture.

    "Looking away" of the published benchmark tests; ISO/IEC 29794-5 has no component for it. The irises' mean shift
    from the middle of the eye corners, over the eye's width, is turned into degrees, and the head's yaw is added: a
    sitter with a turned head who looks into the lens reads zero. The shift saturates beyond 20 degrees. Up and down is
    not measured: the lids follow the eye, and its shift hardly changes.

    Parameters
    ----------
    shape
        The aligned face.
    yaw_deg
        Of the head, from `measure_yaw`.
    """
    points = shape.to_upright(shape.landmarks_px[:, :2])
    shifts = []
    for iris, (left, right) in zip(IRISES, EYE_CORNERS, strict=True):
        width = float(np.linalg.norm(points[right] - points[left]))
        shifts.append(float(points[iris, 0] - (points[left, 0] + points[right, 0]) / 2) / max(width, 1e-9))
    return Measurement("gaze", float(np.mean(shifts)) / SHIFT_PER_DEG + yaw_deg, "deg", GAZE_SD_DEG)
