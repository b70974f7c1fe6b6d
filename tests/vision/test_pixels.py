"""Operations on arrays of pixels: colour spaces, cutting and shrinking, against published values and arithmetic."""

from __future__ import annotations

import numpy as np
import pytest

from kiosk.core.base.colour import lab_of, linear
from kiosk.core.base.geometry import Rect
from kiosk.vision.pictures.arrays import cut, lab, luma, resized, shrunk
from kiosk.vision.still import reduction

PUBLISHED_LAB = {
    # Bruce Lindbloom's CIE colour calculator, sRGB, D65, no adaptation (from memory, to 0.1).
    (255, 0, 0): (53.24, 80.09, 67.20),
    (0, 255, 0): (87.73, -86.18, 83.18),
    (0, 0, 255): (32.30, 79.19, -107.86),
    (255, 255, 255): (100.0, 0.0, 0.0),
    (119, 119, 119): (50.03, 0.0, 0.0),
    (0, 0, 0): (0.0, 0.0, 0.0),
}


@pytest.mark.parametrize("rgb", PUBLISHED_LAB)
def test_lab_of_known_colours(rgb: tuple[int, int, int]) -> None:
    patch = np.full((2, 2, 3), rgb, np.uint8)
    assert lab(patch)[0, 0] == pytest.approx(PUBLISHED_LAB[rgb], abs=0.1)


def test_a_picture_converts_to_lab_as_a_single_colour_does() -> None:
    ramp = np.array([[(code, 255 - code, code // 2) for code in range(256)]], np.uint8)
    single = [lab_of(tuple(linear(channel / 255) for channel in pixel)) for pixel in ramp[0].tolist()]
    assert lab(ramp)[0] == pytest.approx(np.array(single), abs=1e-3)


def test_cutting_beyond_the_edge_repeats_it() -> None:
    picture = np.arange(12, dtype=np.uint8).reshape(2, 2, 3)
    part = cut(picture, Rect(-1, -1, 4, 4))
    assert part.shape == (4, 4, 3)
    assert (part[0, 0] == picture[0, 0]).all()
    assert (part[3, 3] == picture[1, 1]).all()
    assert (part[1:3, 1:3] == picture).all()


def test_shrinking_averages() -> None:
    board = np.zeros((8, 8, 3), np.uint8)
    board[::2, ::2] = board[1::2, 1::2] = 200
    assert (resized(board, 4, 4) == 100).all()


def test_luma_weights() -> None:
    """ITU-R BT.601: 0.299, 0.587, 0.114."""
    assert luma(np.array([[[255, 0, 0], [0, 255, 0], [0, 0, 255]]], np.uint8)).tolist() == [[76, 150, 29]]


def test_a_picture_shrunk_by_a_whole_number_is_the_mean_of_each_square() -> None:
    """Within the rounding: half a level for each of the steps, of which four takes two."""
    picture = np.random.default_rng(2).integers(0, 256, (40, 30, 3), np.uint8)
    assert (shrunk(picture.repeat(3, axis=0).repeat(3, axis=1), 3) == picture).all()
    squares = picture[:, :28].reshape(10, 4, 7, 4, 3).mean(axis=(1, 3))
    assert shrunk(picture, 4).shape == squares.shape
    assert np.abs(shrunk(picture, 4) - squares).max() <= 1.0
    assert reduction(4000, 6000) == 4
    assert reduction(1200, 1600) == 1
