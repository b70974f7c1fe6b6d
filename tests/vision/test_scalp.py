"""A bare scalp and a head of hair told apart by outline and colour."""

from __future__ import annotations

import math

import numpy as np
import pytest

from kiosk.vision.head import scalp
from tests.support.mean_face import mean_face

HEAD = (170, 130, 115)


def disc(jagged: float, top: tuple[int, int, int] = HEAD, scalp_from: float = 0.75) -> tuple[np.ndarray, float]:
    """Return a head before a plain backdrop, its outline straying by so much, and its height in face units."""
    y, x = np.mgrid[0:800, 0:600]
    stray = 200 * jagged * np.sqrt(2) * np.sin(x * 1.3)
    picture = np.full((800, 600, 3), 220, np.uint8)
    inside = np.hypot(x - 300, y - 320) + stray < 170
    picture[inside | ((np.abs(x - 300) < 170) & (y > 320))] = HEAD
    picture[inside & (y < 400 - 200 * scalp_from)] = top
    return picture, (400 - (320 - 170)) / 200


@pytest.mark.parametrize("jagged", [0.0, 0.01, 0.03])
def test_the_roughness_of_an_outline_is_what_it_strays(jagged: float) -> None:
    picture, top = disc(jagged)
    assert scalp.roughness(picture, mean_face(), top) == pytest.approx(jagged, rel=0.3, abs=0.002)


def test_without_a_backdrop_that_differs_no_outline_is_known() -> None:
    assert scalp.roughness(np.full((800, 600, 3), HEAD, np.uint8), mean_face(), 1.25) == math.inf


@pytest.mark.parametrize(
    ("jagged", "top", "bulge", "shaven"),
    [
        (0.001, (150, 120, 110), -0.1, True),
        (0.001, (60, 45, 40), -0.1, False),
        (0.02, (150, 120, 110), -0.1, False),
        (0.001, (220, 190, 110), -0.1, False),
        (0.001, (150, 120, 110), 0.3, False),
    ],
    ids=("stubble", "dark hair", "fair and ragged", "blond", "standing"),
)
def test_a_smooth_early_rounding_top_like_the_forehead_is_shaven(
    jagged: float, top: tuple[int, int, int], bulge: float, *, shaven: bool
) -> None:
    """All with a dark hairline, so that the midline alone would never call them bare."""
    picture, height = disc(jagged, top)
    stripe = slice(400 - 170, 400 - 160)
    picture[stripe, 200:400] = (60, 45, 40)
    assert (scalp.bareness(picture, mean_face(), height, bulge) > 0.5) is shaven
