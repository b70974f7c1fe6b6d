"""Whether the mouth is closed and the face neutral."""

from __future__ import annotations

import numpy as np

from kiosk.core.measurement import HeadPoints, Measurement
from kiosk.vision.face_model import Shape

MOUTH_CLOSED_SD = 0.003
"""Spread over the shut mouths of 48 compliant rendered sitters."""

EXPRESSION_SD = 0.24
"""The error within which 95 % of 128 rendered people lie, each judged by a fit that had not seen them; their standard
deviation is 0.15. Raised brows lift a face by little more than people differ, read up to 0.87, and shall not pass."""

INNER_LIPS = ((82, 87), (13, 14), (312, 317))


def measure_mouth_closed(shape: Shape, points: HeadPoints) -> Measurement:
    """Return the gap between the lips over the head height, 0 closed to about 0.2.

    Component MouthClosed of ISO/IEC 29794-5 (from memory: lip gap relative to the face).
    """
    lips = shape.landmarks_px[:, :2]
    gap = max(float(np.linalg.norm(lips[a] - lips[b])) for a, b in INNER_LIPS)
    return Measurement("mouth_closed", gap / points.head_height_px(), "ratio", MOUTH_CLOSED_SD)


def measure_expression_neutrality(shape: Shape) -> Measurement:
    """Return how neutral the face is: 1 neutral, 0 a plain smile, an open mouth or raised brows.

    Component ExpressionNeutrality of ISO/IEC 29794-5; the regression behind it is described in `face_model`.
    """
    value = float(np.clip(1.0 - shape.told["expression"], 0.0, 1.0))
    return Measurement("expression_neutrality", value, "ratio", EXPRESSION_SD)
