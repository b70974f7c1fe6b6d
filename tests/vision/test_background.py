"""The measures of the background against gradients, steps, spots and shadows of known size."""

from __future__ import annotations

import tomllib
from datetime import date
from pathlib import Path

import numpy as np
import pytest

from kiosk.core.base.geometry import Point, Rect
from kiosk.core.base.measurement import HeadPoints
from kiosk.vision.background import colour, region, shadow, uniformity
from kiosk.vision.head.keying import EmptyBackdrop
from kiosk.vision.models.person import MASK_PX, PersonMask
from kiosk.vision.pictures.arrays import lab
from kiosk.vision.targets.backdrop import measure_backdrop

WIDTH, HEIGHT, HEAD = 600, 800, 400
Y, X = np.mgrid[:HEIGHT, :WIDTH] + 0.5
POINTS = HeadPoints(Point(300, 200), Point(300, 190), Point(300, 600), Point(250, 400), Point(350, 400))

CAPTURE = tomllib.loads((Path(__file__).parents[2] / "specs" / "capture.toml").read_text())
LIMIT = CAPTURE["background_uniformity"]["max"]


def plain(colour: tuple[int, int, int] = (200, 200, 200)) -> np.ndarray:
    return np.full((HEIGHT, WIDTH, 3), colour, np.uint8)


def person() -> PersonMask:
    """Return a person filling the middle of the picture from y 180 down."""
    values = np.zeros((MASK_PX, MASK_PX), np.float32)
    values[int(180 / HEIGHT * MASK_PX) :, int(150 / WIDTH * MASK_PX) : int(450 / WIDTH * MASK_PX)] = 1
    return PersonMask(values, Rect(0, 0, WIDTH, HEIGHT))


def test_an_even_background_measures_nothing_but_its_colour() -> None:
    seen = region.background_of(plain((119, 119, 119)), POINTS, person())
    assert uniformity.measure_background_uniformity(seen).value == pytest.approx(0, abs=0.01)
    assert shadow.measure_background_shadow(seen).value == pytest.approx(0, abs=0.01)
    assert colour.measure_background_lightness(seen).value == pytest.approx(50.03, abs=0.1)
    assert colour.measure_background_a(seen).value == pytest.approx(0, abs=0.1)
    assert colour.measure_background_b(seen).value == pytest.approx(0, abs=0.1)


def test_the_person_does_not_count_as_background() -> None:
    picture = plain()
    picture[180:, 150:450] = (90, 30, 20)
    assert uniformity.measure_background_uniformity(region.background_of(picture, POINTS, person())).value < 0.01


def test_frizz_beyond_the_mask_is_no_background_and_a_shadow_beyond_it_is() -> None:
    frizzy, shadowed = plain(), plain()
    frizz_px, margin_px = 0.05 * HEAD, region.MARGIN * HEAD
    for picture, beyond_px in ((frizzy, frizz_px), (shadowed, margin_px + 0.15 * HEAD)):
        picture[round(180 - beyond_px) :, round(150 - beyond_px) : round(450 + beyond_px)] = 120
    seen = [
        uniformity.measure_background_uniformity(region.background_of(picture, POINTS, person(), frizz_px=px)).value
        for picture, px in ((frizzy, frizz_px), (frizzy, 0.0), (shadowed, frizz_px))
    ]
    assert seen[0] < 0.01
    assert min(seen[1:]) > LIMIT


def of_lightness(lightness: np.ndarray) -> np.ndarray:
    """Return a grey picture of this L* (ISO/CIE 11664-4, IEC 61966-2-1)."""
    linear = ((lightness + 16) / 116) ** 3
    code = np.where(linear <= 0.0031308, 12.92 * linear, 1.055 * linear ** (1 / 2.4) - 0.055)
    return np.round(code * 255).astype(np.uint8)[..., None].repeat(3, axis=2)


def unevenness(picture: np.ndarray, backdrop: EmptyBackdrop | None = None) -> float:
    seen = region.background_of(picture, POINTS, person(), backdrop=backdrop)
    value = uniformity.measure_background_uniformity(seen).value
    assert value is not None
    return value


@pytest.mark.parametrize("rise", [20, 40])
def test_a_linear_gradient_in_lightness(rise: float) -> None:
    """L* rising by a constant per row: 95 % of a uniform distribution lies within 0.475 of its range of the median."""
    bottom, top = int(POINTS.chin.y), int(POINTS.hair_top.y - region.ABOVE * HEAD)
    lightness = np.interp(np.arange(HEIGHT), (top, bottom), (50, 50 + rise))
    picture = of_lightness(np.repeat(lightness[:, None], WIDTH, axis=1))
    nobody = PersonMask(np.zeros((MASK_PX, MASK_PX), np.float32), Rect(0, 0, WIDTH, HEIGHT))
    seen = region.background_of(picture, POINTS, nobody)
    expected = uniformity.FALL_OFF * 0.475 * rise
    value = uniformity.measure_background_uniformity(seen).value
    assert value == pytest.approx(expected, abs=0.3)
    assert (value > LIMIT) == (rise == 40)
    assert colour.measure_background_lightness(seen).value == pytest.approx(50 + rise / 2, abs=0.3)


FALL_OFF_L = 85 - 25 * (((X - WIDTH / 2) / WIDTH) ** 2 + ((Y - HEIGHT / 2) / WIDTH) ** 2)
"""Light that falls off from the middle by 17 L* to the corners."""


def test_light_that_falls_off_is_even_and_a_step_in_it_is_not() -> None:
    even = of_lightness(FALL_OFF_L)
    assert unevenness(even) < 0.75 * LIMIT
    band = (X > 440) & (X < 510) & (Y > 200)
    stepped = of_lightness(FALL_OFF_L - 5 * band)
    assert unevenness(stepped) == pytest.approx(5, abs=0.6)
    seen = region.background_of(stepped, POINTS, person())
    assert shadow.measure_background_shadow(seen).value == pytest.approx(5, abs=0.6)


def test_a_hook_is_seen_and_a_strand_of_hair_is_not() -> None:
    spot = uniformity.SPOT
    hook = (abs(X - 520) < 0.04 * HEAD) & (abs(Y - 250) < 0.07 * HEAD)
    assert unevenness(of_lightness(85.0 - 30 * hook)) == pytest.approx(30 * spot, abs=0.5)
    strand = abs(X - 480 - 0.1 * Y) < 0.5 * region.THIN * HEAD / 2
    assert unevenness(of_lightness(85.0 - 30 * strand)) < 0.5


def test_what_the_reference_shows_too_is_no_defect() -> None:
    """A lamp's spot, a bell of 20 L* (no surface of second order), and a shadow of 6 L* that only the picture has."""
    lamp = 65 + 20 * np.exp(-((X - 100) ** 2 + (Y - 250) ** 2) / 200**2)
    reference = EmptyBackdrop(measure_backdrop(of_lightness(lamp), date(2026, 3, 1)), WIDTH, HEIGHT)
    shadow = 6 * ((X > 440) & (X < 530) & (Y > 200))
    assert unevenness(of_lightness(lamp)) > LIMIT
    assert unevenness(of_lightness(lamp), reference) < LIMIT / 2
    assert unevenness(of_lightness(lamp - shadow), reference) > LIMIT


def test_a_shadow_beside_the_head() -> None:
    picture = plain()
    picture[300:500, 450:520] = 150
    seen = region.background_of(picture, POINTS, person())
    drop = lab(np.full((1, 1, 3), 200, np.uint8))[0, 0, 0] - lab(np.full((1, 1, 3), 150, np.uint8))[0, 0, 0]
    assert shadow.measure_background_shadow(seen).value == pytest.approx(drop, abs=0.5)


@pytest.mark.parametrize(("blue", "is_measured"), [(240, True), (255, False)])
def test_one_burnt_channel_hides_what_is_uneven(blue: int, is_measured: bool) -> None:
    seen = region.background_of(plain((200, 210, blue)), POINTS, person())
    assert (uniformity.measure_background_uniformity(seen).value is not None) == is_measured
    assert (shadow.measure_background_shadow(seen).value is not None) == is_measured
    assert colour.measure_background_lightness(seen).value is not None


def test_no_background_in_view() -> None:
    everywhere = PersonMask(np.ones((MASK_PX, MASK_PX), np.float32), Rect(0, 0, WIDTH, HEIGHT))
    assert region.background_of(plain(), POINTS, everywhere) is None
    for measure in (
        uniformity.measure_background_uniformity,
        colour.measure_background_lightness,
        shadow.measure_background_shadow,
    ):
        assert measure(None).value is None
