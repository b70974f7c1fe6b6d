"""Keying by the reference of the empty backdrop, in closed form and behind a rendered sitter."""

from __future__ import annotations

from datetime import date
from pathlib import Path

import cv2
import numpy as np
import pytest

from kiosk.core.base.geometry import Rect
from kiosk.core.camera_setup.backdrop import Backdrop
from kiosk.vision.head.keying import EmptyBackdrop, in_this_light, keyed
from kiosk.vision.models.person import MASK_PX, PersonMask, PersonReader
from kiosk.vision.pictures.arrays import Rgb, lab
from kiosk.vision.pictures.photo_file import read_photo
from kiosk.vision.still import StillVision
from kiosk.vision.targets.backdrop import measure_backdrop

SITTERS = Path(__file__).parents[1] / "data" / "sitters" / "images"
DAY = date(2026, 3, 1)
SIDE = 1024
CELL = SIDE / MASK_PX
Y, X = np.mgrid[:SIDE, :SIDE] + 0.5
AWAY = np.hypot(X - SIDE / 2, Y - SIDE / 2)

FALL_OFF = np.repeat((220 - 60 * X / SIDE)[..., None], 3, axis=2)
"""An empty backdrop whose light falls off to the right."""


def before(backdrop: np.ndarray, *parts: tuple[np.ndarray, tuple[int, int, int] | np.ndarray]) -> Rgb:
    picture = backdrop.copy()
    for where, colour in parts:
        picture[where] = colour if isinstance(colour, tuple) else colour[where]
    return picture.round().astype(np.uint8)


def seen(radius_px: float) -> PersonMask:
    """Return a segmentation that sees a disc."""
    y, x = (np.mgrid[:MASK_PX, :MASK_PX] + 0.5) * CELL
    inside = np.hypot(x - SIDE / 2, y - SIDE / 2) < radius_px
    return PersonMask(inside.astype(np.float32), Rect(0, 0, SIDE, SIDE))


def at(mask: PersonMask, x: float, y: float) -> float:
    return float(mask.at(np.array([[[x, y]]]))[0, 0])


DARK = (60, 40, 30)
HAIR = AWAY < 250, DARK
PALE_RIM = (AWAY >= 200) & (AWAY < 260), (235, 232, 228)
"""White hair that the segmentation of the head within it has left out."""


def test_pale_hair_before_a_pale_backdrop_is_found_by_the_reference() -> None:
    mask, picture = seen(200), before(FALL_OFF, HAIR, PALE_RIM)
    backdrop = in_this_light(measure_backdrop(before(FALL_OFF), DAY), picture, mask)
    assert backdrop is not None
    found = keyed(mask, picture, backdrop)
    for x, y in ((SIDE / 2, SIDE / 2 - 240), (SIDE / 2 + 240, SIDE / 2), (SIDE / 2 - 240, SIDE / 2)):
        assert at(mask, x, y) < 0.1
        assert at(found, x, y) > 0.9
    assert at(found, SIDE / 2, SIDE / 2 - 290) < 0.1
    assert at(found, SIDE / 2 + 400, SIDE / 2) < 0.1


def test_the_backdrop_is_known_between_the_cells_and_in_less_light() -> None:
    """Two thirds of the code values: the reference is brought down with the picture, to the L* of each place."""
    picture = before(FALL_OFF * 2 / 3, (AWAY < 200, DARK))
    backdrop = in_this_light(measure_backdrop(before(FALL_OFF), DAY), picture, seen(200))
    assert backdrop is not None
    places = np.array([[[100.0, 100.0], [700.0, 900.0]]])
    true = lab(picture[[100, 900], [100, 700]][None])
    assert backdrop.at(places)[..., 0] == pytest.approx(true[..., 0], abs=1.5)


def test_light_goes_on_falling_off_to_the_edges() -> None:
    """L* of a plane, to half a cell beyond the middles of the outermost cells."""
    cells = tuple(tuple((60.0 + 3 * row - 2 * column, 0.0, 0.0) for column in range(8)) for row in range(8))
    places = np.array([[[0.0, 0.0], [SIDE, SIDE], [SIDE, 0.0]]])
    expected = [60 - 0.5 * 3 + 0.5 * 2, 60 + 7.5 * 3 - 7.5 * 2, 60 - 0.5 * 3 - 7.5 * 2]
    found = EmptyBackdrop(Backdrop(DAY, cells), SIDE, SIDE).at(places)
    assert found[0, :, 0] == pytest.approx(expected, abs=0.1)


def test_a_shade_and_what_does_not_hang_together_with_the_sitter_are_no_sitter() -> None:
    shade = (AWAY > 190) & (AWAY < 300) & (X > SIDE / 2), FALL_OFF * 0.8
    speck = np.hypot(X - 300, Y - 260) < 20, DARK
    mask, picture = seen(200), before(FALL_OFF, shade, speck, (AWAY < 200, DARK))
    found = keyed(mask, picture, EmptyBackdrop(measure_backdrop(before(FALL_OFF), DAY), SIDE, SIDE))
    assert at(found, SIDE / 2 + 250, SIDE / 2) < 0.1
    assert at(found, 300, 260) < 0.1
    assert at(found, SIDE / 2, SIDE / 2) > 0.9


def test_a_reference_that_does_not_fit_is_not_believed() -> None:
    picture = before(FALL_OFF[:, ::-1], (AWAY < 200, DARK))
    reference = measure_backdrop(before(FALL_OFF), DAY)
    assert in_this_light(reference, picture, seen(200)) is None
    assert in_this_light(reference, before(FALL_OFF), seen(SIDE)) is None


def test_a_rendered_sitter_before_a_known_backdrop() -> None:
    """The segmentation with 7 cells of its rim taken away, and what the reference gives back of them."""
    picture = read_photo(SITTERS / "ok_000.jpg").rgb
    edge = np.concatenate((picture[:60].reshape(-1, 3), picture[:200, :40].reshape(-1, 3)))
    empty = np.full_like(picture, np.median(edge, axis=0))
    reader = PersonReader()
    whole = reader.mask(picture)
    reader.close()
    lost = PersonMask(cv2.erode(whole.values, np.ones((15, 15), np.uint8)), whole.box_px)
    backdrop = in_this_light(measure_backdrop(empty, DAY), picture, whole)
    assert backdrop is not None
    back = cv2.resize(keyed(lost, picture, backdrop).values, (MASK_PX, MASK_PX), interpolation=cv2.INTER_AREA)

    def agreement(values: np.ndarray) -> float:
        one, other = values > 0.5, whole.values > 0.5
        return float((one & other).sum() / (one | other).sum())

    assert agreement(lost.values) < 0.92
    assert agreement(back) > 0.96


def test_a_still_before_its_reference_is_measured_as_one_without() -> None:
    picture = read_photo(SITTERS / "ok_000.jpg").rgb
    empty = np.full_like(picture, np.median(picture[:60].reshape(-1, 3), axis=0))
    with StillVision() as vision:
        plain = vision.measure(picture)
        vision.backdrop = measure_backdrop(empty, DAY)
        told = vision.measure(picture)
    assert plain.points is not None
    assert told.points is not None
    assert abs(plain.points.hair_top.y - told.points.hair_top.y) < 0.01 * plain.points.head_height_px()
    uniformity = [seen.measurements["background_uniformity"].value for seen in (plain, told)]
    assert abs(uniformity[0] - uniformity[1]) < 1.0
