"""Measure whether the mouth is closed."""

from __future__ import annotations

import numpy as np

from kiosk.core.base.measurement import HeadPoints, Measurement
from kiosk.vision.face.face_model import FaceShape

MOUTH_CLOSED_SD = 0.002
"""Standard deviation for closed lips in photographs: of 153 mouths all but two read at most 0.006, half of them at most
0.001."""

INNER_LIPS = ((82, 87), (13, 14), (312, 317))


def measure_mouth_closed(shape: FaceShape, points: HeadPoints) -> Measurement:
    """Return the gap between the lips in head heights, from 0 if closed to about 0.2.

    Component MouthClosed of ISO/IEC 29794-5 (from memory: lip gap relative to the face).
    """
    lips = shape.landmarks_px[:, :2]
    gap = max(float(np.linalg.norm(lips[a] - lips[b])) for a, b in INNER_LIPS) / points.head_height_px()
    return Measurement("mouth_closed", gap, "ratio", MOUTH_CLOSED_SD)
