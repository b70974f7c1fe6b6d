"""Hair, eye colour, gaze, grain and compression in cases whose answer is known in closed form."""

from __future__ import annotations

import io
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path

import cv2
import numpy as np
import pytest
from PIL import Image
from skimage import color

from kiosk.catalogue.documents import Catalogue
from kiosk.core.judging.conformance import word_of
from kiosk.vision.background.region import Background
from kiosk.vision.face import face_patch
from kiosk.vision.face.face_model import FaceShape, face_model, shape_of
from kiosk.vision.face.upright_crop import around, eye_centres
from kiosk.vision.measures import (
    compression,
    dynamic_range,
    eye_cover,
    gaze,
    in_colour,
    motion_blur,
    natural_colour,
    noise,
    red_eye,
)
from kiosk.vision.measures.camera_distance import measure_camera_distance
from kiosk.vision.models.landmarks import FaceReader
from kiosk.vision.pictures.arrays import Rgb
from kiosk.vision.pictures.photo_file import read_photo

NOBODY = Path(__file__).parents[1] / "data" / "nobody"
WIDTH, HEIGHT = 900, 1200
UNIT_PX = 300.0
SKIN = (190, 150, 130)
FACE = FaceShape(
    face_model().mean_shape * (UNIT_PX, -UNIT_PX, -UNIT_PX) + (450.0, 600.0, 0.0),
    (0.0, 0.0, 0.0),
    UNIT_PX,
    np.array((450.0, 600.0)),
    {},
)
"""The mean face, upright and frontal."""


def plain(colour: tuple[int, int, int] = SKIN) -> Rgb:
    return np.full((HEIGHT, WIDTH, 3), colour, np.uint8)


def filled(picture: Rgb, eye: int, reach: tuple[float, float, float, float], colour: tuple[int, int, int]) -> Rgb:
    """Return the picture with the box that reaches left, right, down and up from an eye, in face units, filled."""
    box = around(eye_centres(FACE)[eye], *reach)
    (x0, y1), (x1, y0) = FACE.to_picture(np.array(((box.x, box.y), (box.x + box.width, box.y + box.height))))
    picture[round(y0) : round(y1), round(x0) : round(x1)] = colour
    return picture


def eyed() -> Rgb:
    """Return a plain face with dark irises."""
    picture = plain()
    for iris in gaze.IRISES:
        middle, edge = FACE.landmarks_px[[iris, iris + 1], :2]
        x, y = np.round(middle).astype(int).tolist()
        cv2.circle(picture, (x, y), round(float(np.linalg.norm(edge - middle))), (20, 20, 20), -1)
    return picture


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


@pytest.mark.parametrize("turned_deg", [-12.0, 0.0, 8.0])
def test_irises_moved_by_known_angles(turned_deg: float) -> None:
    points = FACE.landmarks_px.copy()
    for iris, (left, right) in zip(gaze.IRISES, ((33, 133), (362, 263)), strict=True):
        middle = (points[left] + points[right]) / 2
        width = np.linalg.norm((points[right] - points[left])[:2])
        points[iris] = middle + np.array((gaze.SHIFT_PER_DEG * turned_deg, -gaze.STRAIGHT_UP, 0)) * width
    turned = replace(FACE, landmarks_px=points)
    assert gaze.measure_gaze(turned, 0.0, 0.0).value == pytest.approx(turned_deg, abs=0.01)
    assert gaze.measure_gaze(turned, -turned_deg / gaze.YAW_SHARE, 0.0).value == pytest.approx(0, abs=0.01)
    assert gaze.measure_gaze(turned, 0.0, 0.0, hidden=0.5).uncertainty > 10


@pytest.mark.parametrize(
    ("down_deg", "lifted_deg", "past_deg"), [(0, 0, 0), (10, 0, 0), (20, 0, 20), (20, 20, 0), (0, 20, 0)]
)
def test_eyes_that_look_down(down_deg: float, lifted_deg: float, past_deg: float) -> None:
    points = FACE.landmarks_px.copy()
    for iris, (left, right) in zip(gaze.IRISES, ((33, 133), (362, 263)), strict=True):
        width = np.linalg.norm((points[right] - points[left])[:2])
        up = gaze.STRAIGHT_UP - gaze.SHIFT_DOWN_PER_DEG * down_deg
        points[iris] = (points[left] + points[right]) / 2 - np.array((0, up * width, 0))
    found = gaze.measure_gaze(replace(FACE, landmarks_px=points), 0.0, lifted_deg)
    assert found.value == pytest.approx(past_deg, abs=0.1)


def test_lids_and_irises_that_stand_high_are_a_persons_own() -> None:
    """Narrow and deep-set eyes have high lower lids: 98 per cent of people's irises lie at most 0.109 up."""
    points = FACE.landmarks_px.copy()
    for iris, lid, (left, right) in zip(gaze.IRISES, (145, 374), ((33, 133), (362, 263)), strict=True):
        width = np.linalg.norm((points[right] - points[left])[:2])
        middle = (points[left] + points[right]) / 2
        points[iris] = middle - np.array((0, 0.109 * width, 0))
        points[lid] = middle + np.array((0, 0.02 * width, 0))
    assert gaze.measure_gaze(replace(FACE, landmarks_px=points), 0.0, 0.0).value == pytest.approx(0, abs=0.1)


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


@pytest.fixture(scope="module")
def faces() -> Iterator[FaceReader]:
    with FaceReader() as reader:
        yield reader


SEPIA = np.array(((0.393, 0.769, 0.189), (0.349, 0.686, 0.168), (0.272, 0.534, 0.131)))
"""The matrix that tones a picture sepia (practice, from memory)."""


@pytest.mark.parametrize("name", ["f14", "f44", "f60", "m0", "m12", "m30", "m98"])
def test_a_photo_in_colour_and_the_same_in_grey_and_sepia(faces: FaceReader, name: str) -> None:
    """People who do not exist (tests/data/nobody); toned by luma alone, also after a strong JPEG."""
    limit = Catalogue.load().get("icao-generic").capture["in_colour"]
    rgb = read_photo(NOBODY / f"{name}.jpg").rgb
    landmarks = faces.read(rgb, faces.faces(rgb)[0])
    assert landmarks is not None
    shape = shape_of(landmarks)
    grey = cv2.cvtColor(rgb, cv2.COLOR_RGB2GRAY)[..., None].repeat(3, axis=2)
    sepia = np.clip(rgb @ SEPIA.T, 0, 255).astype(np.uint8)
    assert word_of(in_colour.measure_in_colour(rgb, shape), limit) == "pass"
    for toned in (grey, sepia, jpeg_of(sepia, 90)):
        assert word_of(in_colour.measure_in_colour(toned, shape), limit) == "fail"


def jpeg_of(rgb: Rgb, quality: int) -> Rgb:
    """Return a picture after Pillow's JPEG."""
    held = io.BytesIO()
    Image.fromarray(rgb).save(held, "JPEG", quality=quality)
    return np.asarray(Image.open(held))


def test_one_colour_whatever_its_lightness_is_no_colour() -> None:
    """A ramp from dark to bright in one tone, and the same in stripes shifted by 12 in a*, either way or not."""
    ramp = np.linspace(0.05, 1, HEIGHT)[:, None, None] * np.array((190, 150, 130))
    picture = np.rint(np.broadcast_to(ramp, (HEIGHT, WIDTH, 3))).astype(np.uint8)
    assert in_colour.measure_in_colour(picture, FACE).value < 0.6
    shift = (np.arange(WIDTH) // 60 % 3 - 1) * 12.0
    shifted = color.rgb2lab(picture)
    shifted[..., 1] += shift
    coloured = np.rint(color.lab2rgb(shifted) * 255).astype(np.uint8)
    assert in_colour.measure_in_colour(coloured, FACE).value == pytest.approx(12, abs=2)


def test_a_lit_fundus_and_a_dark_pupil() -> None:
    picture = eyed()
    assert red_eye.measure_red_eye(picture, FACE).value == pytest.approx(0, abs=0.5)
    middle, edge = FACE.landmarks_px[[473, 474], :2]
    x, y = np.round(middle).astype(int).tolist()
    radius = red_eye.PUPIL * float(np.linalg.norm(edge - middle))
    cv2.circle(picture, (x, y), round(radius) + 1, (255, 0, 0), -1)
    assert red_eye.measure_red_eye(picture, FACE).value == pytest.approx(80.09, abs=0.2)


def test_no_pupil_is_seen_between_shut_lids() -> None:
    points = FACE.landmarks_px.copy()
    for upper, lower in zip((246, 161, 160, 159, 158, 157, 173), (7, 163, 144, 145, 153, 154, 155), strict=True):
        points[upper] = points[lower]
    for upper, lower in zip((466, 388, 387, 386, 385, 384, 398), (249, 390, 373, 374, 380, 381, 382), strict=True):
        points[upper] = points[lower]
    assert red_eye.measure_red_eye(plain(), replace(FACE, landmarks_px=points)).value is None


def test_distance_of_a_camera_of_known_focal_length() -> None:
    """A pinhole: 63 mm at 1.5 m through 2,000 px make 84 px. Without the focal length there is no answer."""
    assert measure_camera_distance(84.0, 2000.0).value == pytest.approx(1500)
    assert measure_camera_distance(84.0, None).value is None


@pytest.mark.parametrize("sd", [2.0, 6.0])
def test_normal_noise_of_known_spread(sd: float) -> None:
    grain = np.random.default_rng(1).normal(0, sd, (HEIGHT, WIDTH, 1))
    picture = np.clip(np.round(128 + grain), 0, 255).astype(np.uint8).repeat(3, axis=2)
    assert noise.measure_noise(picture, FACE).value == pytest.approx(sd, rel=0.08)


def test_half_a_face_full_of_pores_is_no_noise() -> None:
    """Noise lies on every place of the skin; a beard or wrinkles leave others smooth."""
    grain = np.random.default_rng(1).normal(0, 12, (HEIGHT, WIDTH, 1))
    grain[:, : WIDTH // 2] = 0
    picture = np.clip(np.round(128 + grain), 0, 255).astype(np.uint8).repeat(3, axis=2)
    assert noise.measure_noise(picture, FACE).value < 0.3


def test_a_gradient_is_no_noise() -> None:
    picture = np.linspace(60, 200, WIDTH).astype(np.uint8)[None, :, None].repeat(HEIGHT, axis=0).repeat(3, axis=2)
    assert noise.measure_noise(picture, FACE).value < 0.3


@pytest.mark.parametrize("shift", [0, 3])
def test_jpeg_by_another_encoder(shift: int) -> None:
    """Pillow's libjpeg at quality 95 and 8 (ITU-T T.81); the grid is found wherever it begins."""
    smooth = cv2.GaussianBlur(np.random.default_rng(2).normal(0, 1, (HEIGHT, WIDTH)), (0, 0), 12)
    picture = np.clip(128 + 600 * smooth, 0, 255).astype(np.uint8)[..., None].repeat(3, axis=2)

    def saved(quality: int) -> float:
        stream = io.BytesIO()
        Image.fromarray(picture).save(stream, "JPEG", quality=quality)
        decoded = np.asarray(Image.open(stream).convert("RGB"))[shift:, shift:]
        value = compression.measure_no_compression_artifacts(np.ascontiguousarray(decoded), FACE).value
        assert value is not None
        return value

    assert saved(95) < 1.3
    assert saved(8) > 2


def dead_leaves() -> np.ndarray:
    """Return discs of random size and grey laid over each other: edges in all directions, as in natural pictures."""
    chance = np.random.default_rng(3)
    picture = np.full((HEIGHT, WIDTH), 128.0)
    for _ in range(6000):
        middle = int(chance.integers(WIDTH)), int(chance.integers(HEIGHT))
        cv2.circle(picture, middle, int(chance.integers(8, 60)), float(chance.integers(40, 216)), -1)
    return picture


@pytest.mark.parametrize("direction_deg", [0, 40, 90, 130])
def test_motion_is_told_from_defocus(direction_deg: float) -> None:
    """Edges after a box along one direction, and after a Gaussian of the same variance in all."""
    length = 25
    kernel = np.zeros((length, length))
    for step in np.linspace(-(length // 2), length // 2, 4 * length):
        x, y = (round(step * f(np.radians(direction_deg)) + length // 2) for f in (np.cos, np.sin))
        kernel[y, x] = 1

    def still(blurred: np.ndarray) -> float:
        picture = np.round(blurred).astype(np.uint8)[..., None].repeat(3, axis=2)
        value = motion_blur.measure_motion_blur(picture, FACE).value
        assert value is not None
        return value

    assert still(cv2.filter2D(dead_leaves(), -1, kernel / kernel.sum())) < 0.6
    assert still(cv2.GaussianBlur(dead_leaves(), (0, 0), length / np.sqrt(12))) > 0.85


@pytest.mark.parametrize("levels", [1, 4, 64])
def test_the_entropy_of_equally_frequent_levels(levels: int) -> None:
    """log2 of their number (Shannon 1948)."""
    codes = np.random.default_rng(4).integers(0, levels, (HEIGHT, WIDTH)) * (256 // levels)
    # One colour to a whole pixel of the reduced picture, so that reducing it mixes none.
    patch = face_patch.face_patch(codes.astype(np.uint8)[..., None].repeat(3, axis=2), FACE, UNIT_PX)
    assert dynamic_range.measure_dynamic_range(patch).value == pytest.approx(np.log2(levels), abs=0.01)
