"""Hair as its mask shows it: wisps, fall, knots, the bulge above the ears."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from kiosk.core.base.geometry import Rect
from kiosk.vision.face.face_model import face_model
from kiosk.vision.head.hair import Hair, hair_of
from kiosk.vision.models.person import MASK_PX, PersonMask
from tests.support.mean_face import mean_face


def person_up_to(top_y: int) -> PersonMask:
    values = np.zeros((MASK_PX, MASK_PX), np.float32)
    values[int(top_y / 800 * MASK_PX) :, int(170 / 600 * MASK_PX) : int(430 / 600 * MASK_PX)] = 1
    return PersonMask(values, Rect(0, 0, 600, 800))


def test_wisps_above_the_mask_count_as_hair() -> None:
    picture = np.full((800, 600, 3), 200, np.uint8)
    picture[150:, 170:430] = 60
    picture[120:150, 290:310] = 60
    seen = hair_of(picture, mean_face(), person_up_to(150))
    assert seen is not None
    assert 400 - 200 * seen.top == pytest.approx(120, abs=4)
    assert 200 * seen.wisps == pytest.approx(30, abs=6)
    assert abs(seen.top_x) < 0.1


def test_hair_that_falls_is_wide_beside_the_jaw() -> None:
    picture, shape = np.full((800, 600, 3), 200, np.uint8), mean_face()
    widths = []
    for half_px in (100, 190):
        values = np.zeros((MASK_PX, MASK_PX), np.float32)
        rows, columns = np.mgrid[0:MASK_PX, 0:MASK_PX] * (np.array((800, 600)) / MASK_PX)[:, None, None]
        values[(rows > 150) & (np.abs(columns - 300) < np.where(rows > 480, half_px, 190))] = 1
        seen = hair_of(picture, shape, PersonMask(values, Rect(0, 0, 600, 800)))
        assert seen is not None
        widths.append(seen.fall)
    half_face_px = 100 * float(np.linalg.norm(face_model().mean_shape[454, :2] - face_model().mean_shape[234, :2]))
    assert np.array(widths) * half_face_px == pytest.approx((100, 190), abs=6)


def head_with(knot_px: float, half_knot_px: float, nod_deg: float = 0.0) -> Hair:
    """Return what is seen of a half disc of 1.1 half face widths on a neck as wide, with a column standing on it."""
    shape = replace(mean_face(), raw_deg=(0.0, nod_deg, 0.0))
    mean = face_model().mean_shape
    half_px = 1.1 * 100 * float(np.linalg.norm(mean[454, :2] - mean[234, :2]))
    y, x = np.mgrid[0:2048, 0:2048] * (np.array((800, 600)) / 2048)[:, None, None]
    centre_y = 400 - 0.45 * 200
    person = (np.hypot(x - 300, y - centre_y) < half_px) | ((np.abs(x - 300) < half_px) & (y > centre_y))
    person |= (np.abs(x - 300) < half_knot_px) & (y > centre_y - half_px - knot_px) & (y < centre_y)
    seen = hair_of(
        np.full((800, 600, 3), 200, np.uint8), shape, PersonMask(person.astype(np.float32), Rect(0, 0, 600, 800))
    )
    assert seen is not None
    return seen


def test_a_column_on_a_round_head_is_a_knot_and_a_round_head_has_none() -> None:
    plain, bun, wide = head_with(0, 0), head_with(80, 45), head_with(80, 130)
    assert plain.knot == 0
    assert bun.top - plain.top == pytest.approx(80 / 200, abs=0.02)
    assert bun.knot == pytest.approx(bun.top - plain.top, abs=0.12)
    assert wide.knot == 0, "as wide as a head: hair that stands"


def test_the_bulge_is_looked_for_higher_on_a_head_that_is_bent() -> None:
    bent, level, lifted = (head_with(0, 0, nod_deg).bulge for nod_deg in (-20.0, 0.0, 20.0))
    assert bent < level - 0.1
    assert lifted > level + 0.05


def test_a_mask_without_a_head() -> None:
    nobody = PersonMask(np.zeros((MASK_PX, MASK_PX), np.float32), Rect(0, 0, 600, 800))
    assert hair_of(np.full((800, 600, 3), 200, np.uint8), mean_face(), nobody) is None
