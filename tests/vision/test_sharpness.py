"""Sharpness against gratings and edges of known blur, in closed form."""

from __future__ import annotations

import math

import cv2
import numpy as np
import pytest

from kiosk.vision.measures.sharpness import UNIT_PX, measure_sharpness
from tests.support.mean_face import mean_face

WIDTH, HEIGHT = 600, 800


def grating(period_px: float, sigma_px: float = 0.0, axis: int = 1) -> np.ndarray:
    """Return a sine of low contrast along one axis, blurred by the closed form exp(-2 (pi sigma / period)^2)."""
    contrast = 50 * math.exp(-2 * (math.pi * sigma_px / period_px) ** 2)
    wave = 128 + contrast * np.sin(2 * np.pi * np.arange(WIDTH if axis == 1 else HEIGHT) / period_px)
    grey = np.broadcast_to(wave[None, :] if axis == 1 else wave[:, None], (HEIGHT, WIDTH))
    return np.round(grey).astype(np.uint8)[..., None].repeat(3, axis=2)


def test_reblur_of_a_sine_follows_the_closed_form() -> None:
    """A Gaussian of s px removes 1 - exp(-2 (pi s / period)^2) of a sine, here of one along each axis."""
    for period in (8.0, 12.0, 20.0):
        across, down = grating(period, axis=1).astype(int), grating(period, axis=0).astype(int)
        both = np.clip((across + down) // 2, 0, 255).astype(np.uint8)
        value = measure_sharpness(both, mean_face(unit_px=UNIT_PX)).value
        assert value == pytest.approx(1 - math.exp(-2 * (2 * math.pi / period) ** 2), abs=0.03)


def test_blur_in_one_direction_is_enough() -> None:
    rng = np.random.default_rng(3)
    sharp = rng.integers(60, 200, (HEIGHT, WIDTH), np.uint8)
    moved = cv2.GaussianBlur(sharp, (31, 1), 5)
    values = [measure_sharpness(np.dstack([grey] * 3), mean_face(unit_px=UNIT_PX)).value for grey in (sharp, moved)]
    assert values[0] > 0.3
    assert values[1] < 0.2


@pytest.mark.parametrize("blur_px", [1.0, 2.0, 4.0])
def test_a_slanted_edge_of_known_blur(blur_px: float) -> None:
    """Edges five degrees off the axes, as on the chart of ISO 12233, drawn with a Gaussian line spread in closed form.

    A gradient of standard deviation s has an energy that falls with 1 / s, and blurs add in squares: filter for the
    grain 1 px, further blur 2 px. Of s^2 = blur^2 + 1, the share 1 - (s^2 / (s^2 + 4))^(1/4) is lost.
    """
    y, x = np.mgrid[:HEIGHT, :WIDTH] + 0.5
    slant = math.radians(5)
    along = (x - WIDTH / 2) * math.cos(slant) + (y - HEIGHT / 2) * math.sin(slant)
    across = (y - HEIGHT / 2) * math.cos(slant) - (x - WIDTH / 2) * math.sin(slant)
    steps = [np.vectorize(math.erf)(np.clip(side / blur_px / math.sqrt(2), -4, 4)) for side in (along, across)]
    picture = np.round(120 + 80 * steps[0] * steps[1]).astype(np.uint8)[..., None].repeat(3, axis=2)
    square = blur_px**2 + 1
    expected = 1 - (square / (square + 4)) ** 0.25
    assert measure_sharpness(picture, mean_face(unit_px=UNIT_PX)).value == pytest.approx(expected, abs=0.015)
