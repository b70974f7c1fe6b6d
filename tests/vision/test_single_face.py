"""A second person beside the sitter: by the outline in closed form, and behind a rendered sitter."""

from __future__ import annotations

from pathlib import Path

import cv2
import numpy as np
import pytest

from kiosk.core.base.geometry import Range, Rect
from kiosk.core.judging.conformance import word_for
from kiosk.vision.face.face_model import FaceShape, face_model
from kiosk.vision.measures.single_face import is_somebody_beside, measure_single_face_present
from kiosk.vision.models.landmarks import heads
from kiosk.vision.models.person import MASK_PX, PersonMask
from kiosk.vision.pictures.photo_file import read_photo
from kiosk.vision.still import StillVision

DATA = Path(__file__).parents[1] / "data"
SITTERS, NOBODY = DATA / "sitters" / "images", DATA / "nobody"
SIDE, UNIT = 1024, 100.0
CELL = SIDE / MASK_PX


def upright(yaw_deg: float = 0.0) -> FaceShape:
    """Return a face whose eyes are in the middle of the picture."""
    points = face_model().mean_shape * (UNIT, -UNIT, -UNIT) + (SIDE / 2, SIDE / 2, 0)
    return FaceShape(points, (yaw_deg, 0.0, 0.0), UNIT, np.array((SIDE / 2, SIDE / 2)), {})


def mask(*columns: tuple[float, float]) -> PersonMask:
    """Return a mask with person between some columns, in face units from the axis."""
    values = np.zeros((MASK_PX, MASK_PX), np.float32)
    for left, right in columns:
        values[:, round((SIDE / 2 + left * UNIT) / CELL) : round((SIDE / 2 + right * UNIT) / CELL)] = 1
    return PersonMask(values, Rect(0, 0, SIDE, SIDE))


@pytest.mark.parametrize(
    ("columns", "beside"),
    [
        ([(-1.0, 1.0)], False),
        ([(-1.0, 1.2)], False),
        ([(-1.0, 1.5)], True),
        ([(-1.7, 1.0)], True),
        ([(-1.0, 1.0), (2.0, 2.5)], True),
        ([(-1.0, 1.0), (-2.5, -2.0)], True),
    ],
)
def test_an_outline_that_one_head_explains(columns: list[tuple[float, float]], beside: bool) -> None:
    assert is_somebody_beside(upright(), mask(*columns), SIDE, SIDE) is beside


def test_a_turned_head_reaches_farther_to_one_side() -> None:
    """A skull whose middle lies 0.86 units behind the eyes: turned by 14 degrees, it lies 0.86 sin(14 deg) aside."""
    aside = 0.86 * np.sin(np.radians(14))
    skull = mask((-1.0 - aside, 1.0 - aside))
    assert not is_somebody_beside(upright(14.0), skull, SIDE, SIDE)
    assert is_somebody_beside(upright(), skull, SIDE, SIDE)
    assert is_somebody_beside(upright(-14.0), skull, SIDE, SIDE)


def test_a_box_within_another_and_a_tiny_one_are_no_second_head() -> None:
    head, beard, child = Rect(100, 100, 200, 200), Rect(160, 190, 90, 90), Rect(290, 120, 100, 100)
    poster = Rect(400, 20, 40, 40)
    assert heads((poster, beard, child, head)) == (head, child)


def test_a_wheel_in_the_street_is_no_second_face(still: StillVision) -> None:
    """Cut below the mouth, the detector and the mesh take a wheel behind this woman, who does not exist, for a face."""
    picture = read_photo(NOBODY / "f30.jpg").rgb
    seen = still.measure(np.ascontiguousarray(picture[:614]))
    assert seen.measurements["single_face_present"].value == 1


@pytest.mark.parametrize("name", ["f24", "m92", "m30"])
def test_a_head_that_the_edges_cut_is_one_face(still: StillVision, name: str) -> None:
    """Photo-like people who do not exist, cut at the hair and a tenth of the head above the chin."""
    picture = read_photo(NOBODY / f"{name}.jpg").rgb
    points = still.measure(picture).points
    assert points is not None
    head = points.head_height_px()
    top, bottom = max(0, round(points.hair_top.y + 0.02 * head)), round(points.chin.y - 0.08 * head)
    for upper, lower in ((0, bottom), (top, len(picture)), (top, bottom)):
        seen = still.measure(np.ascontiguousarray(picture[upper:lower]))
        assert seen.measurements["single_face_present"].value == 1
        assert seen.points is not None
        assert seen.points.eye_centre.y + upper == pytest.approx(points.eye_centre.y, abs=0.02 * head)


def test_a_count_that_may_be_too_low_goes_to_a_person() -> None:
    one = Range(1.0, 1.0)
    assert word_for(measure_single_face_present(1), one) == "pass"
    assert word_for(measure_single_face_present(2), one) == "fail"
    assert word_for(measure_single_face_present(1, somebody_beside=True), one) == "refer"


def test_somebody_behind_a_rendered_sitter_is_noticed(still: StillVision) -> None:
    """The same sitter once more, shifted behind the first by 0.42 of the width, where the background was."""
    front = read_photo(SITTERS / "ok_003.jpg").rgb
    width = front.shape[1]
    backdrop = np.median(front[:40].reshape(-1, 3), axis=0)
    free = (np.abs(front.astype(int) - backdrop).max(axis=2) < 12).astype(np.uint8)
    free = cv2.morphologyEx(free, cv2.MORPH_OPEN, np.ones((5, 5), np.uint8)).astype(bool)
    shift = round(0.42 * width)
    behind = front[:, : width - shift]
    both = front.copy()
    both[:, shift:][free[:, shift:]] = behind[free[:, shift:]]
    alone, seen = still.measure(front), still.measure(both)
    assert word_for(alone.measurements["single_face_present"], Range(1.0, 1.0)) == "pass"
    assert word_for(seen.measurements["single_face_present"], Range(1.0, 1.0)) != "pass"
