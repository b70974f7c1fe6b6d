"""How far the brows are raised, by what that does to all of the face's outline.

Raised brows move the mesh by little more than people differ, and no single landmark tells. Fisher's linear discriminant
(1936, from memory) weighs the mean change of people rendered with and without by how people differ at rest.
`tests/bench/fit_brows` fits it; the numbers lie beside this module.
"""

from __future__ import annotations

from functools import cache
from pathlib import Path

import numpy as np

from kiosk.vision.face_model import Array, Shape, align, face_model

FILE = Path(__file__).with_name("brows.npz")


def brows_raised(shape: Shape) -> float:
    """Return how far the brows are raised: 0 on the average at rest, 1 on the average when raised.

    People scatter by 0.36 at rest and by 0.55 raised, each judged by a fit that had not seen them.
    """
    direction, offset = _fit()
    model = face_model()
    residual = align(shape.landmarks_px * (1.0, -1.0, -1.0), model.mean_shape, model.rigid)[2]
    return float((residual[:, :2] * direction).sum() - offset)


@cache
def _fit() -> tuple[Array, float]:
    with np.load(FILE) as stored:
        return stored["direction"].astype(float), float(stored["offset"])
