"""The measures of background, light and sharpness against cases whose answer is known in closed form."""

from __future__ import annotations

import math
import tomllib
from datetime import date
from pathlib import Path

import cv2
import numpy as np
import pytest

from kiosk.core.base.colour import lab_of, linear
from kiosk.core.base.geometry import Point, Rect
from kiosk.core.base.measurement import HeadPoints
from kiosk.vision.background import colour, region, shadow, uniformity
from kiosk.vision.face import face_patch
from kiosk.vision.face.face_model import FaceShape, face_model
from kiosk.vision.head.keying import EmptyBackdrop
from kiosk.vision.measures import illumination, luminance, over_exposure, under_exposure
from kiosk.vision.measures.sharpness import UNIT_PX, measure_sharpness
from kiosk.vision.models.person import MASK_PX, PersonMask
from kiosk.vision.pictures.arrays import cut, lab, luma, resized, shrunk
from kiosk.vision.still import reduction
from kiosk.vision.targets.backdrop import measure_backdrop

WIDTH, HEIGHT, HEAD = 600, 800, 400
Y, X = np.mgrid[:HEIGHT, :WIDTH] + 0.5
POINTS = HeadPoints(Point(300, 200), Point(300, 190), Point(300, 600), Point(250, 400), Point(350, 400))

CAPTURE = tomllib.loads((Path(__file__).parents[2] / "specs" / "capture.toml").read_text())
LIMIT = CAPTURE["background_uniformity"]["max"]

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


def frontal(unit_px: float = 200.0, at: tuple[float, float] = (300.0, 400.0)) -> FaceShape:
    """Return the mean face, upright and frontal."""
    mean = face_model().mean_shape
    landmarks = mean * (unit_px, -unit_px, -unit_px) + (*at, 0.0)
    return FaceShape(landmarks, (0.0, 0.0, 0.0), unit_px, np.array(at), {})


def patch_of(picture: np.ndarray) -> face_patch.FacePatch:
    patch = face_patch.face_patch(picture, frontal())
    assert patch is not None
    return patch


def test_even_light() -> None:
    patch = patch_of(plain((180, 140, 120)))
    assert illumination.measure_illumination_uniformity(patch).value == pytest.approx(1)
    assert under_exposure.measure_under_exposure_prevention(patch).value == 1
    assert over_exposure.measure_over_exposure_prevention(patch).value == 1
    assert luminance.measure_luminance_mean(patch).value == pytest.approx(
        float(lab(plain((180, 140, 120)))[0, 0, 0]), abs=0.1
    )


@pytest.mark.parametrize("darker", ["right", "left"])
def test_one_side_in_shadow(darker: str) -> None:
    """Half the face at 60 % in the red channel only: the worst channel counts, whichever side it is."""
    picture = plain((200, 140, 120))
    half = np.s_[:, :300] if darker == "right" else np.s_[:, 300:]
    picture[half] = (120, 140, 120)
    assert illumination.measure_illumination_uniformity(patch_of(picture)).value == pytest.approx(0.6, abs=0.01)


def test_a_dark_chin_is_no_fault_of_the_light() -> None:
    picture = plain((200, 140, 120))
    picture[460:] = (60, 50, 40)
    assert illumination.measure_illumination_uniformity(patch_of(picture)).value > 0.9


def with_eyes(skin: int, eyes: int) -> np.ndarray:
    picture = plain((skin, skin, skin))
    picture[385:415] = eyes
    return picture


@pytest.mark.parametrize(("level", "share"), [(under_exposure.DARK, 0), (under_exposure.DARK + 1, 1)])
def test_skin_that_is_too_dark(level: int, share: int) -> None:
    assert under_exposure.measure_under_exposure_prevention(patch_of(with_eyes(level, 200))).value == pytest.approx(
        share, abs=0.1
    )


@pytest.mark.parametrize(("level", "share"), [(over_exposure.BRIGHT - 1, 1), (over_exposure.BRIGHT, 0)])
def test_skin_that_is_too_bright(level: int, share: int) -> None:
    assert over_exposure.measure_over_exposure_prevention(patch_of(plain((level, level, level)))).value == share


def test_the_white_of_the_eye_tells_dark_skin_from_little_light() -> None:
    """Code 52 has L* 21.7 (by the formulas of `test_a_linear_gradient_in_lightness`), half of EYE_WHITE."""
    assert under_exposure.measure_under_exposure_prevention(patch_of(with_eyes(60, 180))).value == 1
    dim = under_exposure.measure_under_exposure_prevention(patch_of(with_eyes(60, 52))).value
    assert dim == pytest.approx(21.7 / under_exposure.EYE_WHITE, abs=0.01)


def test_half_the_skin_burnt_out() -> None:
    picture = plain((180, 140, 120))
    picture[:, 300:] = 255
    assert over_exposure.measure_over_exposure_prevention(patch_of(picture)).value == pytest.approx(0.5, abs=0.02)


def test_a_face_outside_the_picture() -> None:
    assert face_patch.face_patch(plain(), frontal(at=(-500.0, 400.0))) is None
    assert illumination.measure_illumination_uniformity(None).value is None


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
        value = measure_sharpness(both, frontal(unit_px=UNIT_PX)).value
        assert value == pytest.approx(1 - math.exp(-2 * (2 * math.pi / period) ** 2), abs=0.03)


def test_blur_in_one_direction_is_enough() -> None:
    rng = np.random.default_rng(3)
    sharp = rng.integers(60, 200, (HEIGHT, WIDTH), np.uint8)
    moved = cv2.GaussianBlur(sharp, (31, 1), 5)
    values = [measure_sharpness(np.dstack([grey] * 3), frontal(unit_px=UNIT_PX)).value for grey in (sharp, moved)]
    assert values[0] > 0.3
    assert values[1] < 0.2


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
    picture = np.random.default_rng(2).integers(0, 256, (40, 30, 3), np.uint8)
    assert (shrunk(picture.repeat(3, axis=0).repeat(3, axis=1), 3) == picture).all()
    assert shrunk(picture, 4).shape == (10, 7, 3)
    assert np.abs(shrunk(picture, 4)[0, 0] - picture[:4, :4].mean(axis=(0, 1))).max() <= 0.5
    assert reduction(4000, 6000) == 4
    assert reduction(1200, 1600) == 1


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
    assert measure_sharpness(picture, frontal(unit_px=UNIT_PX)).value == pytest.approx(expected, abs=0.015)
