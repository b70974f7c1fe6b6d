"""Spectacles drawn on the faces of people who do not exist are found, and so is what is wrong with them."""

from __future__ import annotations

import tomllib
from collections.abc import Mapping
from dataclasses import dataclass, replace
from pathlib import Path

import cv2
import numpy as np
import pytest

from kiosk.core.limits import CaptureLimit
from kiosk.vision.face_model import Shape, shape_of
from kiosk.vision.frame_width import measure_frame_width
from kiosk.vision.landmarks import FaceReader
from kiosk.vision.lens import lens_views
from kiosk.vision.lens_glare import measure_lens_glare
from kiosk.vision.lens_tint import measure_lens_tint
from kiosk.vision.photo_file import read_photo
from kiosk.vision.pictures import Rgb
from kiosk.vision.spectacles import Spectacles as Found
from kiosk.vision.spectacles import measure_spectacles, spectacles_on
from tests.drawn_spectacles import Glare, Spectacles, worn

ROOT = Path(__file__).parents[2]
LIMITS = {
    name: CaptureLimit(**table).range
    for name, table in tomllib.loads((ROOT / "specs" / "capture.toml").read_text()).items()
    if name in {"lens_glare", "lens_tint", "frame_width"}
}
SURELY = Found(1.0)


@dataclass(frozen=True)
class Face:
    rgb: Rgb
    shape: Shape


@pytest.fixture(scope="module")
def faces() -> Mapping[str, Face]:
    """Return the faces of tests/data/nobody, none of whom wears spectacles."""
    found = {}
    with FaceReader() as reader:
        for path in sorted((ROOT / "tests" / "data" / "nobody").glob("*.jpg")):
            rgb = read_photo(path).rgb
            landmarks = reader.read_averaged(rgb, reader.faces(rgb)[0])
            assert landmarks is not None
            found[path.stem] = Face(rgb, shape_of(landmarks))
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


def small(face: Face, apart_px: float) -> Face:
    """Return the face in a picture in which its eyes are about so far apart."""
    factor = apart_px / (0.7 * face.shape.unit_px)
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
    "half": Spectacles(rim_mm=2.0, half=True),
    "heavy": Spectacles(rim_mm=4.0),
    "as heavy as can be": Spectacles(rim_mm=8.0),
    "sunglasses": Spectacles(rim_mm=3.0, height_mm=42.0, light=(0.05, 0.05, 0.05)),
    "shining": Spectacles(glares=((Glare(),), (Glare(),))),
}


@pytest.mark.parametrize("make", MAKES)
@pytest.mark.parametrize("apart_px", [None, 60.0])
def test_drawn_spectacles_are_found(faces: Mapping[str, Face], make: str, apart_px: float | None) -> None:
    for name, face in faces.items():
        dressed = wearing(face, MAKES[make])
        assert seen(small(dressed, apart_px) if apart_px else dressed)[0] > 0.5, name


def test_in_a_small_picture_bare_faces_are_bare_too(faces: Mapping[str, Face]) -> None:
    assert {name for name, face in faces.items() if seen(small(face, 60.0))[0] > 0.5} == set()


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
    assert {name for name, face in faces.items() if broken not in seen(wearing(face, spectacles))[1]} == set()


def test_thin_clear_spectacles_break_no_limit(faces: Mapping[str, Face]) -> None:
    for colour in ((0.02, 0.02, 0.02), (0.25, 0.25, 0.27)):
        for name, face in faces.items():
            assert seen(wearing(face, Spectacles(rim_mm=1.2, colour=colour)))[1] == set(), name
