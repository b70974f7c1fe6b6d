"""What is said of eyes, on photo-like portraits of nobody as they are and with drawn lids, hair and red pupils."""

from __future__ import annotations

import csv
import tomllib
from collections.abc import Iterator
from dataclasses import dataclass, replace
from pathlib import Path

import cv2
import numpy as np
import pytest

from kiosk.core.base.geometry import Rect
from kiosk.core.base.measurement import Measurement
from kiosk.core.document.limits import CaptureLimit
from kiosk.vision.face.face_model import FaceShape, shape_of
from kiosk.vision.live import LiveVision
from kiosk.vision.measures.eye_colour import EYE_DISCS
from kiosk.vision.measures.eye_cover import measure_eyes_visible
from kiosk.vision.measures.eyes_open import measure_eyes_open
from kiosk.vision.measures.gaze import measure_gaze
from kiosk.vision.measures.pitch import measure_pitch
from kiosk.vision.measures.red_eye import measure_red_eye
from kiosk.vision.measures.yaw import measure_yaw
from kiosk.vision.models.landmarks import FaceReader
from kiosk.vision.pictures.arrays import Rgb, polygon, resized
from kiosk.vision.pictures.photo_file import read_photo
from tests.support.drawn_hair import DENSE, SMOOTH, Fringe, hung, hung_aside
from tests.support.drawn_lids import lowered

ROOT = Path(__file__).parents[2]
NOBODY = ROOT / "tests" / "data" / "nobody"
LABELS = {row["photo"]: row for row in csv.DictReader((NOBODY / "labels.csv").read_text().splitlines())}
LIMITS = {
    name: CaptureLimit(**table) for name, table in tomllib.loads((ROOT / "specs" / "capture.toml").read_text()).items()
}

LIVE_HEAD = 320 / 2.6
"""Outer-eye-corner distance, px, of a head 320 px high: 2.6 of them from crown to chin (the rendered sitters)."""

HAIR = ((25, 20, 20), (70, 50, 35), (190, 165, 125), (150, 145, 140))
"""Black, brown, fair and grey, sRGB."""

LIT, DIM = (178, 48, 48), (111, 39, 39)
"""A lit ground of the eye as `tests/bench/spoil` draws it, and one with a third of that light, sRGB."""


@dataclass(frozen=True, eq=False)
class Person:
    """A portrait, where its face is, the face aligned, and chance of its own."""

    name: str
    rgb: Rgb
    box: Rect
    shape: FaceShape
    reader: FaceReader

    @property
    def rng(self) -> np.random.Generator:
        return np.random.default_rng(sum(self.name.encode()))

    def with_picture(self, rgb: Rgb) -> Person:
        """Return the person in a changed picture, the face read anew."""
        landmarks = self.reader.read(rgb, self.box)
        assert landmarks is not None
        return replace(self, rgb=rgb, shape=shape_of(landmarks))

    def sized(self, unit_px: float) -> Person:
        """Return the person in a picture where the outer corners of the eyes are so far apart."""
        times = unit_px / self.shape.unit_px
        x, y, width, height = (times * side for side in (self.box.x, self.box.y, self.box.width, self.box.height))
        small = resized(self.rgb, *(round(times * side) for side in self.rgb.shape[1::-1]))
        return replace(self, box=Rect(x, y, width, height)).with_picture(small)


@pytest.fixture(scope="module")
def people() -> Iterator[list[Person]]:
    with FaceReader() as reader:
        found = []
        for name in LABELS:
            rgb = read_photo(NOBODY / name).rgb
            box = reader.faces(rgb)[0]
            landmarks = reader.read_averaged(rgb, box)
            assert landmarks is not None
            found.append(Person(name, rgb, box, shape_of(landmarks), reader))
        yield found


def holds(measured: Measurement) -> bool:
    """Tell whether a number passes by its limit's own rule of decision."""
    assert measured.value is not None
    return LIMITS[measured.name].tolerance.word(measured) == "pass"


def opened(person: Person) -> Measurement:
    return measure_eyes_open(person.rgb, person.shape)


def visible(person: Person) -> Measurement:
    return measure_eyes_visible(person.rgb, person.shape)


def red(person: Person) -> Measurement:
    return measure_red_eye(person.rgb, person.shape)


def test_the_labels_say_open_bare_and_dark() -> None:
    assert len(LABELS) == 18
    assert {(row["eyes"], row["hair_over_eye"], row["red_eye"]) for row in LABELS.values()} == {("open", "0", "0")}


@pytest.mark.parametrize("unit_px", [None, LIVE_HEAD, 0.6 * LIVE_HEAD])
def test_open_eyes_are_open_and_shut_ones_shut_large_and_small(people: list[Person], unit_px: float | None) -> None:
    for person in people if unit_px is None else (person.sized(unit_px) for person in people):
        assert holds(opened(person)), person.name
        shut = person.with_picture(lowered(person.rgb, person.shape, 1.0, person.rng))
        assert not holds(opened(shut)), person.name


@pytest.mark.parametrize("eye", [0, 1])
def test_one_shut_eye_is_enough(people: list[Person], eye: int) -> None:
    for person in people:
        winks = person.with_picture(lowered(person.rgb, person.shape, 1.0, person.rng, (eye,)))
        assert not holds(opened(winks)), person.name


def test_a_lid_on_its_way_is_between_open_and_shut(people: list[Person]) -> None:
    for person in people:
        open_, half, shut = (
            opened(person.with_picture(lowered(person.rgb, person.shape, share, person.rng))).value
            for share in (0.0, 0.6, 1.0)
        )
        assert open_ > half > shut, person.name


def test_the_live_view_asks_no_open_eye_to_open_and_sees_a_blink(people: list[Person]) -> None:
    """A blink of three frames in a live picture of 640 x 800 px."""
    with LiveVision() as live:
        for person in people[:6]:
            small = person.sized(LIVE_HEAD)
            shut = lowered(small.rgb, small.shape, 1.0, person.rng)
            words = []
            for rgb in [small.rgb] * 4 + [shut] * 3 + [small.rgb] * 3:
                frame = cv2.copyMakeBorder(rgb, 100, 100, 60, 60, cv2.BORDER_REPLICATE)
                words.append(holds(live.observe(np.asarray(frame, np.uint8)).measurements["eyes_open"]))
            assert words == [True] * 4 + [False] * 3 + [True] * 3, person.name


def test_bare_eyes_are_visible(people: list[Person]) -> None:
    for person in people:
        assert holds(visible(person)), person.name


@pytest.mark.parametrize("fringe", [DENSE, SMOOTH])
@pytest.mark.parametrize("colour", HAIR)
def test_hair_over_the_eyes(people: list[Person], fringe: Fringe, colour: tuple[int, int, int]) -> None:
    for person in people:
        covered = replace(person, rgb=hung(person.rgb, person.shape, fringe, colour, person.rng))
        assert not holds(visible(covered)), person.name


@pytest.mark.parametrize("colour", HAIR)
def test_eyes_that_shimmer_through_smooth_hair(people: list[Person], colour: tuple[int, int, int]) -> None:
    """All but 15 per cent of the light comes from hair without strands."""
    for person in people:
        hair = hung(person.rgb, person.shape, SMOOTH, colour, person.rng)
        veil = cv2.GaussianBlur(hair, (0, 0), 0.06 * person.shape.unit_px)
        veiled = np.asarray(cv2.addWeighted(veil, 0.85, person.rgb, 0.15, 0), np.uint8)
        assert not holds(visible(replace(person, rgb=veiled))), person.name


def test_a_lock_over_one_eye(people: list[Person]) -> None:
    for person in people:
        lock = hung_aside(person.rgb, person.shape, replace(DENSE, strands=60), HAIR[1], person.rng)
        assert not holds(visible(replace(person, rgb=lock))), person.name


def test_frontal_people_look_into_the_camera(people: list[Person]) -> None:
    frontal = [person for person in people if abs(measure_yaw(person.shape).value or 0.0) < 8]
    assert len(frontal) >= 12
    for person in frontal:
        yaw, pitch = measure_yaw(person.shape).value, measure_pitch(person.shape).value
        assert holds(measure_gaze(person.shape, yaw or 0.0, pitch or 0.0)), person.name


@pytest.mark.parametrize("gains", [(1.0, 1.0, 1.0), (1.25, 1.0, 0.68), (1.2, 0.9, 0.95)])
def test_dark_pupils_are_not_red_in_any_light(people: list[Person], gains: tuple[float, float, float]) -> None:
    for person in people:
        lit = np.clip(person.rgb * np.array(gains), 0, 255).astype(np.uint8)
        assert holds(red(replace(person, rgb=lit))), person.name


@pytest.mark.parametrize("colour", [LIT, DIM])
@pytest.mark.parametrize("eyes", [(0, 1), (1,)])
def test_lit_pupils_are_red(people: list[Person], colour: tuple[int, int, int], eyes: tuple[int, ...]) -> None:
    for person in people:
        lit = person.rgb.copy()
        for lids, middle, edge in (EYE_DISCS[eye] for eye in eyes):
            points = person.shape.landmarks_px[:, :2]
            rows, columns = np.mgrid[: lit.shape[0], : lit.shape[1]] + 0.5
            radius = 0.4 * np.linalg.norm(points[edge] - points[middle])
            pupil = np.hypot(columns - points[middle, 0], rows - points[middle, 1]) < radius
            lit[pupil & polygon(lit.shape[:2], points[list(lids)])] = colour
        assert not holds(red(replace(person, rgb=lit))), person.name
