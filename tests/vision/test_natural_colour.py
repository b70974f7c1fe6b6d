"""Casts of known colour on the white of the eyes, the backdrop and the skin."""

from __future__ import annotations

import numpy as np
import pytest
from skimage import color

from kiosk.vision.background.region import Background
from kiosk.vision.face import face_patch
from kiosk.vision.measures import natural_colour
from kiosk.vision.pictures.arrays import Rgb
from tests.support.mean_face import FACE, filled, plain


def backdrop(a: float, b: float) -> Background:
    """Return an even backdrop of one colour."""
    colours = np.full((50, 3), (80.0, a, b), np.float32)
    return Background(colours, np.ones(50, bool), burnt_out=False, explained=())


def with_whites(ab: tuple[float, float]) -> Rgb:
    """Return a face with the boxes of both eyes in one colour of L* 75."""
    colour = np.rint(255 * color.lab2rgb(np.array([[[75.0, *ab]]])))[0, 0].astype(int)
    picture = plain()
    for eye in (0, 1):
        filled(picture, eye, (0.25, 0.25, 0.15, 0.15), tuple(colour.tolist()))
    return picture


def cast(picture: Rgb, background: Background | None, shift_ab: tuple[float, float] | None = None) -> float:
    patch = face_patch.face_patch(picture, FACE)
    value = natural_colour.measure_natural_colour(picture, FACE, patch, background, shift_ab).value
    assert value is not None
    return value


def test_a_cast_lies_on_the_backdrop_and_on_both_eyes() -> None:
    """Twelve units of yellow on the white of the eyes, and on backdrops of known colour; by hand."""
    white_a, white_b = natural_colour.WHITE_AB
    yellow = with_whites((white_a, white_b + 12))
    assert cast(yellow, backdrop(0, 15)) == pytest.approx(12, abs=0.5)
    assert cast(yellow, backdrop(0, 7)) == pytest.approx(7, abs=0.5)
    assert cast(yellow, backdrop(0, 0)) == 0
    assert cast(yellow, backdrop(0, -15)) == 0
    assert cast(yellow, backdrop(15, 0)) == pytest.approx(0, abs=0.5)
    assert cast(yellow, backdrop(8, 8)) == pytest.approx(8, abs=0.5)
    assert cast(with_whites(natural_colour.WHITE_AB), backdrop(0, 15)) == pytest.approx(0, abs=0.7)
    assert cast(yellow, None) == 0


def test_a_reddened_eye_beside_a_white_one_is_no_cast() -> None:
    picture = with_whites((12.0, 10.0))
    assert cast(picture, backdrop(10, 6)) > 8
    filled(picture, 1, (0.25, 0.25, 0.15, 0.15), (187, 184, 179))
    assert cast(picture, backdrop(10, 6)) < 1.5


def test_a_backdrop_that_left_its_reference_is_a_cast_whatever_the_eyes_are_like() -> None:
    assert cast(with_whites((12.0, 10.0)), backdrop(10, 6), (0.0, 0.0)) == 0
    assert cast(plain(), backdrop(0, 0), (3.0, -4.0)) == pytest.approx(5)


def test_skin_that_is_no_colour_of_skin() -> None:
    """Grey has a* = b* = 0, and the region of skin begins at 5 and 5: ISO/IEC 29794-5, from memory."""
    assert cast(plain((119, 119, 119)), None) == pytest.approx(50**0.5, abs=0.05)
    assert cast(plain(), None) == 0
