"""Spectacles drawn on the faces of people who do not exist are found, and so is what is wrong with them."""

from __future__ import annotations

import tomllib
from collections.abc import Mapping
from dataclasses import dataclass, replace
from pathlib import Path

import cv2
import numpy as np
import pytest

from kiosk.core.document.limits import CaptureLimit
from kiosk.vision.face.face_model import FaceShape, face_model, shape_of
from kiosk.vision.face.lens import bare_eyes, lens_views
from kiosk.vision.face.upright_crop import eye_centres
from kiosk.vision.measures.frame_width import measure_frame_width
from kiosk.vision.measures.lens_glare import measure_lens_glare, veil
from kiosk.vision.measures.lens_tint import measure_lens_tint
from kiosk.vision.measures.spectacles import Spectacles as Found
from kiosk.vision.measures.spectacles import measure_spectacles, spectacles_on
from kiosk.vision.models.landmarks import FaceReader
from kiosk.vision.pictures.arrays import Rgb, linear_light
from kiosk.vision.pictures.photo_file import read_photo
from tests.support.drawn_spectacles import EYES_MM, Glare, Spectacles, worn

ROOT = Path(__file__).parents[2]
LIMITS = {
    name: CaptureLimit(**table).range
    for name, table in tomllib.loads((ROOT / "specs" / "capture.toml").read_text()).items()
    if name in {"lens_glare", "lens_tint", "frame_width"}
}
SURELY = Found(1.0)

APART_PX, SMALL_PX = 110.0, 60.0
"""Distance between the eyes, and in a small picture; a still's is at least 90."""

HARSH = {"f30", "m0", "m76"}
"""Faces half in hard sun and half in shade, of which an edge runs along the cheek, or with cheeks that shine: a tint, a
glare or a rim is not told from them for sure."""


@dataclass(frozen=True)
class Face:
    rgb: Rgb
    shape: FaceShape


@pytest.fixture(scope="module")
def faces() -> Mapping[str, Face]:
    """Return the faces of tests/data/nobody, none of whom wears spectacles."""
    found = {}
    with FaceReader() as reader:
        for path in sorted((ROOT / "tests" / "data" / "nobody").glob("*.jpg")):
            rgb = read_photo(path).rgb
            landmarks = reader.read_averaged(rgb, reader.faces(rgb)[0])
            assert landmarks is not None
            found[path.stem] = apart(Face(rgb, shape_of(landmarks)), APART_PX)
    assert len(found) == 18
    return found


def seen(face: Face) -> tuple[float, set[str]]:
    """Return the probability of spectacles, and which limits the lenses and the frame break."""
    there = spectacles_on(face.rgb, face.shape)
    lenses = lens_views(face.rgb, face.shape)
    measured = (
        measure_lens_glare(there, lenses),
        measure_lens_tint(there, lenses),
        measure_frame_width(there, face.rgb, face.shape),
    )
    broken = {one.name for one in measured if one.value is None or not LIMITS[one.name].contains(one.value)}
    return there.probability, broken


def wearing(face: Face, spectacles: Spectacles) -> Face:
    return replace(face, rgb=worn(face.rgb, face.shape, spectacles))


def apart(face: Face, px: float) -> Face:
    """Return the face in a picture in which its eyes are so far apart."""
    right, left = eye_centres(face.shape)
    factor = px / (float(np.linalg.norm(left - right)) * face.shape.unit_px)
    rgb = cv2.resize(face.rgb, None, fx=factor, fy=factor, interpolation=cv2.INTER_AREA)
    return Face(np.asarray(rgb, np.uint8), face.shape.scaled(factor))


def test_bare_faces_are_bare_and_have_perfectly_clear_lenses(faces: Mapping[str, Face]) -> None:
    for name, face in faces.items():
        there, lenses = spectacles_on(face.rgb, face.shape), lens_views(face.rgb, face.shape)
        assert not there.possible, name
        assert measure_spectacles(there).value == there.probability
        assert measure_lens_glare(there, lenses).value == 0
        assert measure_lens_tint(there, lenses).value == 1
        assert measure_frame_width(there, face.rgb, face.shape).value == 0


MAKES = {
    "thin": Spectacles(rim_mm=1.2),
    "heavy": Spectacles(rim_mm=4.0),
    "as heavy as can be": Spectacles(rim_mm=8.0),
    "sunglasses": Spectacles(rim_mm=3.0, height_mm=42.0, light=(0.05, 0.05, 0.05)),
    "shining": Spectacles(glares=((Glare(),), (Glare(),))),
}


@pytest.mark.parametrize("make", MAKES)
def test_drawn_spectacles_are_found(faces: Mapping[str, Face], make: str) -> None:
    for name in faces.keys() - HARSH:
        dressed = wearing(faces[name], MAKES[make])
        for seen_so in (dressed, apart(dressed, SMALL_PX)):
            assert spectacles_on(seen_so.rgb, seen_so.shape).possible, name


def test_in_a_small_picture_bare_faces_are_bare_too(faces: Mapping[str, Face]) -> None:
    assert {name for name, face in faces.items() if seen(apart(face, SMALL_PX))[0] > 0.5} == set()


@pytest.mark.parametrize(
    ("spectacles", "broken"),
    [
        (Spectacles(rim_mm=4.0, colour=(0.02, 0.02, 0.02)), "frame_width"),
        (Spectacles(rim_mm=6.0, colour=(0.05, 0.02, 0.01)), "frame_width"),
        (Spectacles(light=(0.2, 0.2, 0.2)), "lens_tint"),
        (Spectacles(light=(0.1, 0.06, 0.03)), "lens_tint"),
        (Spectacles(glares=((Glare(),), (Glare(),))), "lens_glare"),
        (Spectacles(glares=((), (Glare(up_mm=11.0, width_mm=24.0, height_mm=8.0),))), "lens_glare"),
        (Spectacles(glares=((Glare(opacity=0.6, width_mm=40.0, height_mm=30.0),), ())), "lens_glare"),
    ],
)
def test_what_is_drawn_wrong_is_seen(faces: Mapping[str, Face], spectacles: Spectacles, broken: str) -> None:
    assert {name for name, face in faces.items() if broken not in seen(wearing(face, spectacles))[1]} <= HARSH


def test_thin_clear_spectacles_break_no_limit(faces: Mapping[str, Face]) -> None:
    assert {name for name, face in faces.items() if seen(wearing(face, MAKES["thin"]))[1]} <= HARSH


UNIT_PX = 300.0
MEAN_FACE = Face(
    np.full((1200, 900, 3), (190, 150, 130), np.uint8),
    FaceShape(
        face_model().mean_shape * (UNIT_PX, -UNIT_PX, -UNIT_PX) + (450.0, 600.0, 0.0),
        (0.0, 0.0, 0.0),
        UNIT_PX,
        np.array((450.0, 600.0)),
        {},
    ),
)
"""The mean face as plain skin, upright and frontal."""


@pytest.mark.parametrize("rim_mm", [1.0, 3.0, 6.0])
@pytest.mark.parametrize("blur_px", [0.0, 3.0])
def test_the_equivalent_breadth_of_a_rim_of_known_breadth_and_darkness(rim_mm: float, blur_px: float) -> None:
    """Breadth times the light that is missing; blur moves light and loses none."""
    skin, grey = linear_light(MEAN_FACE.rgb[0, 0]), 0.05
    dressed = wearing(MEAN_FACE, Spectacles(rim_mm=rim_mm, colour=(grey, grey, grey)))
    rgb = np.asarray(cv2.GaussianBlur(dressed.rgb, (0, 0), blur_px), np.uint8) if blur_px else dressed.rgb
    missing = 1 - grey / float(skin @ (0.2126, 0.7152, 0.0722))
    found = measure_frame_width(SURELY, rgb, MEAN_FACE.shape).value
    assert found == pytest.approx(missing * rim_mm / EYES_MM, abs=0.003)


@pytest.mark.parametrize("light", [0.1, 0.4])
def test_the_reading_of_a_tint_is_in_proportion_to_the_light_that_it_lets_through(light: float) -> None:
    half, whole = (
        measure_lens_tint(SURELY, lens_views(wearing(MEAN_FACE, tinted).rgb, MEAN_FACE.shape)).value
        for tinted in (Spectacles(light=(light / 2,) * 3), Spectacles(light=(light,) * 3))
    )
    assert whole == pytest.approx(2 * half, rel=0.02)


@pytest.mark.parametrize("added", [0.1, 0.5])
def test_white_light_laid_over_a_lens_is_read_as_such(added: float) -> None:
    """A least squares estimate is unbiased: what is added comes out, wherever it began."""
    lens = lens_views(MEAN_FACE.rgb, MEAN_FACE.shape)[0]
    more = veil(replace(lens, colours=lens.colours + added), bare_eyes()) - veil(lens, bare_eyes())
    np.testing.assert_allclose(more, added, rtol=0.01)


def test_a_face_without_spectacles_is_not_looked_at_for_what_they_could_do() -> None:
    white = np.full_like(MEAN_FACE.rgb, 255)
    lenses = lens_views(white, MEAN_FACE.shape)
    assert measure_lens_glare(Found(0.1), lenses).value == 0
    assert measure_lens_tint(Found(0.1), lens_views(white // 16, MEAN_FACE.shape)).value == 1
