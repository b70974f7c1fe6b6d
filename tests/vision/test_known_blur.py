"""Blur, blocks and colour against closed forms and against another library."""

from __future__ import annotations

import math

import numpy as np
import pytest
from skimage import color

from kiosk.vision.face.face_model import FaceShape, face_model
from kiosk.vision.measures.compression import measure_no_compression_artifacts
from kiosk.vision.measures.motion_blur import SHARP, measure_motion_blur
from kiosk.vision.measures.sharpness import UNIT_PX
from kiosk.vision.pictures.arrays import lab

WIDTH, HEIGHT = 600, 800
FACE = FaceShape(
    face_model().mean_shape * (UNIT_PX, -UNIT_PX, -UNIT_PX) + (300.0, 400.0, 0.0),
    (0.0, 0.0, 0.0),
    UNIT_PX,
    np.array((300.0, 400.0)),
    {},
)


def test_lab_as_scikit_image_has_it() -> None:
    """Its `rgb2lab` (sRGB, D65, two-degree observer) on 4,000 random colours; its white has other last digits."""
    codes = np.random.default_rng(6).integers(0, 256, (4000, 1, 3), np.uint8)
    assert np.abs(lab(codes) - color.rgb2lab(codes)).max() < 0.05


@pytest.mark.parametrize(
    ("across_px", "down_px"), [(4.0, 1.5), (1.5, 4.0), (3.0, 3.0), (6.0, 2.0), (4.0, 0.5), (0.5, 0.5)]
)
def test_edges_blurred_differently_along_rows_and_columns(across_px: float, down_px: float) -> None:
    """An upright and a level edge with Gaussian line spreads in closed form.

    The energy of a gradient of standard deviation s falls with 1 / s, and blurs add in squares: filter for the grain
    1 px, further blur 2 px. Of s^2 = blur^2 + 1, the amplitude falls by ((s^2 + 4) / s^2)^(1/4).
    """
    x, y = np.arange(WIDTH) + 0.5 - WIDTH / 2, np.arange(HEIGHT) + 0.5 - HEIGHT / 2
    columns, rows = (
        np.vectorize(math.erf)(np.clip(places / blur_px / math.sqrt(2), -4, 4))
        for places, blur_px in ((x, across_px), (y, down_px))
    )
    picture = np.round(120 + 80 * rows[:, None] * columns[None, :]).astype(np.uint8)[..., None].repeat(3, axis=2)
    squares = (blur_px**2 + 1 for blur_px in (across_px, down_px))
    kept = [min(((square + 4) / square) ** 0.25 - 1, SHARP) for square in squares]
    assert measure_motion_blur(picture, FACE).value == pytest.approx(min(kept) / max(kept), abs=0.03)


@pytest.mark.parametrize(("across", "down", "seen"), [(5, 5, 5.0), (5, 1, 1.0), (3, 8, 3.0), (1, 1, 1.0)])
def test_steps_of_known_height_between_blocks_of_eight(across: int, down: int, seen: float) -> None:
    """Neighbours differ by 1 within a block and by a known step between blocks, along rows and along columns.

    Every other block runs down again, so that no code leaves its range. The blocks of 8 x 8 are those of ITU-T T.81.
    """

    def wave(length: int, step: int) -> np.ndarray:
        steps = np.where(np.arange(length) % 8 == 7, step, 1) * np.where(np.arange(length) // 8 % 2, -1, 1)
        return np.concatenate(([0], np.cumsum(steps[:-1])))

    grey = 100 + wave(WIDTH, across)[None, :] + wave(HEIGHT, down)[:, None]
    picture = grey.astype(np.uint8)[..., None].repeat(3, axis=2)
    assert measure_no_compression_artifacts(picture, FACE).value == pytest.approx(seen, rel=0.02)
