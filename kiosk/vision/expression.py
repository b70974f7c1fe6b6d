"""Whether the face is neutral."""

from __future__ import annotations

import numpy as np

from kiosk.core.measurement import Measurement
from kiosk.vision.face_model import Shape

EXPRESSION_SD = 0.15
"""Of 128 rendered people, each judged by a fit that had not seen them."""

BROWS_SHARE, BROWS_SD = 0.35, 0.175
"""What raised brows take from neutrality, and its standard deviation: half of it, between the 0.36 by which people
scatter at rest and the 0.55 raised. So brows alone bring a face to where a person must look, but never refuse it."""


def measure_expression_neutrality(shape: Shape, brows: float = 0.0) -> Measurement:
    """Return how neutral the face is: 1 neutral, 0 a plain smile or an open mouth, 0.65 raised brows.

    Component ExpressionNeutrality of ISO/IEC 29794-5; the regression behind it is described in `face_model`. Of mouth
    and brows the one that is less surely neutral counts.

    Parameters
    ----------
    shape
        The aligned face.
    brows
        How far they are raised, from `brows.brows_raised`; 0 where that is not looked at.
    """
    parts = ((1.0 - shape.told["expression"], EXPRESSION_SD), (1.0 - BROWS_SHARE * min(1.0, brows), BROWS_SD))
    value, sd = min(parts, key=lambda part: min(part[0], 1.0) - part[1])
    return Measurement("expression_neutrality", float(np.clip(value, 0.0, 1.0)), "ratio", sd)
