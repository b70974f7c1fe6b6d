"""The measures of the light on the face, against skin of known code values."""

from __future__ import annotations

import numpy as np
import pytest

from kiosk.vision.face import face_patch
from kiosk.vision.measures import illumination, luminance, over_exposure, under_exposure
from kiosk.vision.pictures.arrays import lab
from tests.support.mean_face import mean_face

WIDTH, HEIGHT = 600, 800


def plain(colour: tuple[int, int, int] = (200, 200, 200)) -> np.ndarray:
    return np.full((HEIGHT, WIDTH, 3), colour, np.uint8)


def patch_of(picture: np.ndarray) -> face_patch.FacePatch:
    patch = face_patch.face_patch(picture, mean_face())
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
    assert face_patch.face_patch(plain(), mean_face(at=(-500.0, 400.0))) is None
    assert illumination.measure_illumination_uniformity(None).value is None
