"""Measure whether the face is neutral, by the changes that a smile and raised brows cause in the whole mesh.

Both move the mesh by little more than the differences between people, and no single landmark suffices. Fisher's linear
discriminant (1936, from memory) weighs the mean change by the differences between people at rest.
`tests/bench/fit_expression` fits it; the weights, and a note on the people in the fit, are stored beside this module.
"""

from __future__ import annotations

from functools import cache
from pathlib import Path

import numpy as np

from kiosk.core.base.measurement import Measurement
from kiosk.vision.face.face_model import Array, FaceShape, align, face_model

FILE = Path(__file__).with_name("expression.npz")

SMILE_SHARE = 0.6
"""The reduction of neutrality by the mean smile with closed lips."""

REST_SD = 0.35
"""Standard deviation of the smile read in 137 neutral faces, photographed and rendered, each by a fit that had not seen
them; the mean smile with closed lips is 1, one with teeth about 3."""

BROWS_SHARE, BROWS_MOST = 0.45, 1.3
"""The reduction of neutrality by brows raised as far as the mean, and the largest multiple of that: brows alone
can thus refer a face to a person, but never refuse it."""


def measure_expression_neutrality(shape: FaceShape, brows: float = 0.0) -> Measurement:
    """Return how neutral the face is: 1 at rest, about 0.4 smiling with closed lips, 0 with teeth or the mouth open.

    This is the component ExpressionNeutrality of ISO/IEC 29794-5. Of mouth and brows, the less neutral one counts.

    Parameters
    ----------
    shape
        The aligned face.
    brows
        How far the brows are raised, from `brows_raised`, or 0 to ignore them.
    """
    smile, raised = SMILE_SHARE * smiling(shape), BROWS_SHARE * min(BROWS_MOST, brows)
    neutral = float(np.clip(1.0 - max(smile, raised), 0.0, 1.0))
    return Measurement("expression_neutrality", neutral, "ratio", SMILE_SHARE * REST_SD)


def smiling(shape: FaceShape) -> float:
    """Return the amount of smile: 0 on average at rest, 1 on average for smiles with closed lips."""
    return _along("smile", shape)


def brows_raised(shape: FaceShape) -> float:
    """Return how far the brows are raised: 0 on average at rest, 1 on average when raised."""
    return _along("brows", shape)


def _along(name: str, shape: FaceShape) -> float:
    """Return the face shape's displacement from the mean at rest along a fitted direction."""
    direction, rest = _fit()[name]
    model = face_model()
    residual = align(shape.landmarks_px * (1.0, -1.0, -1.0), model.mean_shape, model.rigid)[2]
    return float((residual[:, :2] * direction).sum() - rest)


@cache
def _fit() -> dict[str, tuple[Array, float]]:
    with np.load(FILE) as stored:
        return {name: (stored[name].astype(float), float(stored[f"{name}_rest"])) for name in ("smile", "brows")}
