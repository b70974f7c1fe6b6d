"""The chin's edge in painted shades, and the beard that may hide it."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
import pytest

from kiosk.vision.head import chin
from kiosk.vision.head.beard import bearded
from kiosk.vision.pictures.arrays import lab
from tests.support.mean_face import mean_face


@pytest.mark.parametrize("shift", [-0.02, 0.0, 0.02, 0.04])
def test_the_chin_is_found_where_it_is_darkest(shift: float) -> None:
    """A bright chin, a shade that falls to its darkest at the edge, and a neck that grows lighter again."""
    shape, head = mean_face(), 2.5
    edge_y = 400 + (1.25 + shift * head) * 200
    y = np.arange(800)
    above, below = np.clip((edge_y - y) / 25, 0, 1), np.clip((y - edge_y) / 40, 0, 1)
    grey = np.where(y < edge_y, 110 + 70 * above, 110 + 50 * below)
    picture = (grey[:, None, None] * np.ones((1, 600, 1)) * np.array((1.0, 0.8, 0.7))).astype(np.uint8)
    found = chin.chin_height(picture, shape, np.array((0.0, -1.25)), head)
    assert found.value == pytest.approx(-(1.25 + shift * head), abs=0.01 * head)


def test_the_chin_ends_where_the_shade_begins_that_a_scarf_prolongs() -> None:
    """Even darkness from the edge down for 5 % of the head: the edge is sought in its upper two fifths."""
    shape, head = mean_face(), 2.5
    edge_y, dark_px = 400 + 1.25 * 200, 0.05 * head * 200
    grey = np.full(800, 170)
    grey[round(edge_y) : round(edge_y + dark_px)] = 110
    picture = (grey[:, None, None] * np.ones((1, 600, 1)) * np.array((1.0, 0.8, 0.7))).astype(np.uint8)
    found = chin.chin_height(picture, shape, np.array((0.0, -1.25)), head)
    assert -1.25 - 0.4 * dark_px / 200 < found.value < -1.25


def test_without_any_shade_the_chin_stays_where_the_face_says() -> None:
    flat = np.full((800, 600, 3), (200, 160, 140), np.uint8)
    found = chin.chin_height(flat, mean_face(), np.array((0.0, -1.25)), 2.5)
    assert found.value == pytest.approx(-1.25, abs=0.02 * 2.5)
    assert found.sd > 0.015 * 2.5


def test_skin_that_is_dark_over_a_pale_beard_is_not_the_chin_s_edge() -> None:
    """Dark skin, a beard that only grows lighter downwards as far as is looked, and no shade: the face has the word."""
    shape, head = mean_face(), 2.5
    rising = np.clip((np.arange(800) - 400 - (1.25 - 0.12 * head) * 200) / (0.21 * head * 200), 0, 1)
    picture = (90 + 80 * rising[:, None, None] * np.ones((1, 600, 3))).astype(np.uint8)
    picture[:600] = (100, 75, 65)
    found = chin.chin_height(picture, shape, np.array((0.0, -1.25)), head)
    assert found.value == pytest.approx(-1.25, abs=0.02 * head)
    assert found.sd > 0.025 * head


@pytest.mark.parametrize(
    ("chin_lab", "least", "most"),
    [((65, 19, 16), 0.0, 0.1), ((57, 18, 16), 0.0, 0.1), ((40, 15, 11), 0.9, 1.0), ((70, 8, 2), 0.9, 1.0)],
    ids=("skin", "shade", "dark beard", "pale beard"),
)
def test_a_beard_is_darker_or_greyer_than_the_cheeks(chin_lab: Sequence[float], least: float, most: float) -> None:
    skin = np.full((800, 600, 3), (201, 144, 129), np.uint8)
    assert lab(skin)[0, 0] == pytest.approx((64.5, 19, 16), abs=1.5)
    assert least <= bearded(skin, mean_face(), np.array(chin_lab, float)) <= most
