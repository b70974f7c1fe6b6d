"""Whether the face is neutral."""

from __future__ import annotations

import numpy as np

from kiosk.core.measurement import Measurement
from kiosk.vision.face_model import Shape

EXPRESSION_SD = 0.15
"""Of 128 rendered people, each judged by a fit that had not seen them."""

BROWS_SD = 0.24
"""The error within which 95 % of the same people lie. Raised brows lift a face by little more than people differ and
read up to 0.87: a still is judged with this, so that they do not pass."""


def measure_expression_neutrality(shape: Shape, sd: float = EXPRESSION_SD) -> Measurement:
    """Return how neutral the face is: 1 neutral, 0 a plain smile, an open mouth or raised brows.

    Component ExpressionNeutrality of ISO/IEC 29794-5; the regression behind it is described in `face_model`.

    Parameters
    ----------
    shape
        The aligned face.
    sd
        Standard uncertainty to state.
    """
    value = float(np.clip(1.0 - shape.told["expression"], 0.0, 1.0))
    return Measurement("expression_neutrality", value, "ratio", sd)
