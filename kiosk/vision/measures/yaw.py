"""Measure the yaw of the head.

All angles of the head are relative to the line of sight, because that is what a picture shows: a sitter beside the
optical axis who looks into the lens reads zero. They come from the three-dimensional mesh, not from the perspective of
its projection, so no focal length is needed.
"""

from __future__ import annotations

import math

from kiosk.core.base.measurement import Measurement
from kiosk.vision.face.face_model import FaceShape

YAW_SD_DEG, YAW_SD_PER_DEG = 0.7, 0.06
"""Standard deviation for heads turned and nodded by less than 12 degrees, from identities the fit has not seen (336
pictures of 128 rendered people, `tests/bench/fit_face`), and what each degree of yaw adds: 1.9 at 28 degrees."""


def measure_yaw(shape: FaceShape) -> Measurement:
    """Return the yaw in degrees, about -45 to 45, positive with the nose to the right of the unmirrored picture.

    ISO/IEC 19794-5:2011, 7.2.2 (quoted) limits it to 5 degrees either way.
    """
    value = shape.raw_deg[0] + shape.regressed["yaw"]
    return Measurement("yaw", value, "deg", math.hypot(YAW_SD_DEG, YAW_SD_PER_DEG * value))
