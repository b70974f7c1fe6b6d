"""A second person beside the sitter: by the outline in closed form, and behind a rendered sitter."""

from __future__ import annotations

from pathlib import Path

import cv2
import numpy as np
import pytest

from kiosk.core.conformance import word_for
from kiosk.core.geometry import Range, Rect
from kiosk.vision.face_model import Shape, face_model
from kiosk.vision.person import MASK_PX, PersonMask
from kiosk.vision.photo_file import read_photo
from kiosk.vision.single_face import is_somebody_beside, measure_single_face_present
from kiosk.vision.still import StillVision

SITTERS = Path(__file__).parents[1] / "data" / "sitters" / "images"
SIDE, UNIT = 1024, 100.0
CELL = SIDE / MASK_PX


def upright() -> Shape:
    """Return a face whose eyes are in the middle of the picture."""
    points = face_model().mean_shape * (UNIT, -UNIT, -UNIT) + (SIDE / 2, SIDE / 2, 0)
    return Shape(points, (0.0, 0.0, 0.0), UNIT, np.array((SIDE / 2, SIDE / 2)), {})


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


def test_a_count_that_may_be_too_low_goes_to_a_person() -> None:
    one = Range(1.0, 1.0)
    assert word_for(measure_single_face_present(1), one) == "pass"
    assert word_for(measure_single_face_present(2), one) == "fail"
    assert word_for(measure_single_face_present(1, somebody_beside=True), one) == "refer"


def test_somebody_behind_a_rendered_sitter_is_noticed() -> None:
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
    with StillVision() as vision:
        alone, seen = vision.measure(front), vision.measure(both)
    assert word_for(alone.measurements["single_face_present"], Range(1.0, 1.0)) == "pass"
    assert word_for(seen.measurements["single_face_present"], Range(1.0, 1.0)) != "pass"
