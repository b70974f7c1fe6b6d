"""Photographs in colour, in grey and toned, and pictures of one colour in closed form."""

from __future__ import annotations

import io
from collections.abc import Iterator
from pathlib import Path

import cv2
import numpy as np
import pytest
from PIL import Image
from skimage import color

from kiosk.core.judging.conformance import word_of
from kiosk.vision.face.face_model import shape_of
from kiosk.vision.measures import in_colour
from kiosk.vision.models.landmarks import FaceReader
from kiosk.vision.pictures.arrays import Rgb
from kiosk.vision.pictures.photo_file import read_photo
from tests.support.mean_face import FACE, HEIGHT, WIDTH
from tests.support.shipped import CATALOGUE

NOBODY = Path(__file__).parents[1] / "data" / "nobody"


@pytest.fixture(scope="module")
def faces() -> Iterator[FaceReader]:
    with FaceReader() as reader:
        yield reader


SEPIA = np.array(((0.393, 0.769, 0.189), (0.349, 0.686, 0.168), (0.272, 0.534, 0.131)))
"""The matrix that tones a picture sepia (practice, from memory)."""


@pytest.mark.parametrize("name", ["f14", "f44", "f60", "m0", "m12", "m30", "m98"])
def test_a_photo_in_colour_and_the_same_in_grey_and_sepia(faces: FaceReader, name: str) -> None:
    """People who do not exist (tests/data/nobody); toned by luma alone, also after a strong JPEG."""
    limit = CATALOGUE.get("icao-generic").capture["in_colour"]
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
