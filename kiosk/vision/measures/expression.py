"""Whether the face is neutral: what a smile and raised brows do to all of the face's outline.

Both move the mesh by little more than people differ, and no single landmark tells. Fisher's linear discriminant (1936,
from memory) weighs the mean change by how people differ at rest. `tests/bench/fit_expression` fits it; the numbers, and
a note of the people that they come from, lie beside this module.
"""

from __future__ import annotations

from functools import cache
from pathlib import Path

import numpy as np

from kiosk.core.base.measurement import Measurement
from kiosk.vision.face.face_model import Array, FaceShape, align, face_model

FILE = Path(__file__).with_name("expression.npz")

SMILE_SHARE = 0.6
"""What the mean smile with closed lips takes from neutrality."""

REST_SD = 0.35
"""Of the smile that is read in 137 neutral faces, photographed and rendered, each by a fit that had not seen them; the
mean smile with closed lips is 1, one with teeth about 3."""

BROWS_SHARE, BROWS_MOST = 0.45, 1.3
"""What brows raised as far as the mean take from neutrality, and how many times that they take at most: so brows alone
bring a face to where a person must look, but never refuse it."""


def measure_expression_neutrality(shape: FaceShape, brows: float = 0.0) -> Measurement:
    """Return how neutral the face is: 1 at rest, about 0.4 smiling with closed lips, 0 with teeth or the mouth open.

    Component ExpressionNeutrality of ISO/IEC 29794-5. Of mouth and brows the one that is less neutral counts.

    Parameters
    ----------
    shape
        The aligned face.
    brows
        How far they are raised, from `brows_raised`; 0 where that is not looked at.
    """
    smile, raised = SMILE_SHARE * smiling(shape), BROWS_SHARE * min(BROWS_MOST, brows)
    neutral = float(np.clip(1.0 - max(smile, raised), 0.0, 1.0))
    return Measurement("expression_neutrality", neutral, "ratio", SMILE_SHARE * REST_SD)


def smiling(shape: FaceShape) -> float:
    """Return how much of a smile there is: 0 on the average at rest, 1 on the average of smiles with closed lips."""
    return _along("smile", shape)


def brows_raised(shape: FaceShape) -> float:
    """Return how far the brows are raised: 0 on the average at rest, 1 on the average when raised."""
    return _along("brows", shape)


def _along(name: str, shape: FaceShape) -> float:
    """Return how far the face's shape has gone along a fitted direction from the mean at rest."""
    direction, rest = _fit()[name]
    model = face_model()
    residual = align(shape.landmarks_px * (1.0, -1.0, -1.0), model.mean_shape, model.rigid)[2]
    return float((residual[:, :2] * direction).sum() - rest)


@cache
def _fit() -> dict[str, tuple[Array, float]]:
    with np.load(FILE) as stored:
        return {name: (stored[name].astype(float), float(stored[f"{name}_rest"])) for name in ("smile", "brows")}
