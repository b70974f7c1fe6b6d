"""What hides eyes, in cases whose answer is known in closed form: rims, strands, frames beside them."""

from __future__ import annotations

import numpy as np
import pytest
from skimage import color

from kiosk.vision.face.upright_crop import eye_centres
from kiosk.vision.measures import eye_cover
from tests.support.mean_face import FACE, HEIGHT, SKIN, UNIT_PX, WIDTH, eyed, filled, plain


def test_a_plain_face_hides_no_eye() -> None:
    assert eye_cover.measure_eyes_visible(eyed(), FACE).value == 1


@pytest.mark.parametrize("eye", [0, 1])
def test_a_rim_across_an_eye(eye: int) -> None:
    """A dark bar at the eye's height; the same a quarter of the face's unit lower; one that ends at the eye."""

    def seen(reach: tuple[float, float, float, float]) -> float | None:
        picture = filled(eyed(), eye, reach, (40, 35, 35))
        return eye_cover.measure_eyes_visible(picture, FACE, spectacles=1.0).value

    assert seen((0.35, 0.35, 0.02, 0.02)) < 0.4
    assert seen((0.35, 0.35, 0.30, -0.26)) == 1
    assert seen((0.35, 0.10, 0.02, 0.02)) > 0.6


def test_the_frame_of_a_lens_about_an_eye_does_not_run_across_it() -> None:
    """A temple at the eye's height on the outer side, the bridge higher up on the inner one."""
    picture = filled(eyed(), 0, (0.35, -0.17, 0.02, 0.02), (40, 35, 35))
    picture = filled(picture, 0, (-0.17, 0.35, -0.055, 0.09), (40, 35, 35))
    assert eye_cover.measure_eyes_visible(picture, FACE, spectacles=1.0).value == 1


@pytest.mark.parametrize("eye", [0, 1])
@pytest.mark.parametrize("rim", [(90, 70, 60), (120, 95, 80)])
def test_a_rim_of_known_lightness_across_an_eye(eye: int, rim: tuple[int, int, int]) -> None:
    """The lightness of the rim over that of the skin, both by scikit-image's `rgb2lab`, over the least of bare eyes.

    It counts by how likely spectacles are, and on a face without them not at all.
    """
    dark, light = (float(color.rgb2lab(np.array(((colour,),), np.uint8))[0, 0, 0]) for colour in (rim, SKIN))
    picture = filled(eyed(), eye, (0.35, 0.35, 0.02, 0.02), rim)
    full = dark / light / eye_cover.BARE_RIM
    for worn, expected in ((1.0, full), (0.5, (1 + full) / 2), (0.0, 1.0)):
        found = eye_cover.measure_eyes_visible(picture, FACE, spectacles=worn)
        assert found.value == pytest.approx(expected, abs=0.01)


def test_strands_that_hang_over_the_eyes() -> None:
    columns = (plain() * (0.7 + 0.3 * np.cos(np.arange(WIDTH) * 2 * np.pi / 9))[None, :, None]).astype(np.uint8)
    rows = (plain() * (0.7 + 0.3 * np.cos(np.arange(HEIGHT) * 2 * np.pi / 9))[:, None, None]).astype(np.uint8)
    assert eye_cover.measure_eyes_visible(columns, FACE).value < 0.1
    lids = eyed()
    for centre in eye_centres(FACE):
        x = round(450 + float(centre[0]) * UNIT_PX)
        lids[:, x - 54 : x + 54] = np.minimum(lids, rows)[:, x - 54 : x + 54]
    assert eye_cover.measure_eyes_visible(lids, FACE).value > 0.9
