"""Crown, chin and pitch as arithmetic: cases whose answer follows from the rule itself."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import replace

import numpy as np
import pytest

from kiosk.core.base.geometry import Rect
from kiosk.vision.face.face_model import FaceShape, align, angles_deg, face_model
from kiosk.vision.face.likely_pitch import (
    LEVEL_SD_DEG,
    NODDING_SD_DEG,
    NODDING_SHARE,
    PITCH_READING_SD_DEG,
    likely_pitch_deg,
)
from kiosk.vision.head import chin, crown, scalp
from kiosk.vision.head.beard import bearded
from kiosk.vision.head.crown import FROM_FACE_SD, crown_height
from kiosk.vision.head.hair import Hair, hair_of
from kiosk.vision.models.person import MASK_PX, PersonMask
from kiosk.vision.pictures.arrays import lab

FLAT_BULGE, FLAT = crown.BULGE[2], crown.THICKNESS[2]
"""An outline that rounds off as over flat hair, and the thickness of that."""


def hair(top: float, bulge: float = 0.0, bare: float = 0.0, fall: float = 0.8) -> Hair:
    return Hair(top, 0.0, 0.0, bulge, fall, bare)


def test_a_bare_scalp_is_the_crown() -> None:
    found = crown_height(1.24, hair(1.30, bare=1.0))
    assert found.value == pytest.approx(1.30, abs=0.01)
    assert found.sd < 0.03


def test_without_hair_in_sight_the_face_speaks_alone() -> None:
    found = crown_height(1.24, None)
    assert (found.value, found.sd) == (1.24, FROM_FACE_SD)


def test_flat_hair_lies_its_thickness_above_the_crown() -> None:
    found = crown_height(1.25, hair(1.25 + FLAT, bulge=FLAT_BULGE))
    assert found.value == pytest.approx(1.25, abs=0.02)
    assert found.sd < 0.06


def test_the_wider_the_outline_stays_the_thicker_is_the_hair() -> None:
    crowns = [crown_height(1.2, hair(1.5, bulge=bulge)).value for bulge in (-0.3, -0.1, 0.0, 0.1, 0.2, 0.4)]
    assert crowns == sorted(crowns, reverse=True)
    assert crowns[0] - crowns[-1] > 0.15


def test_a_bun_on_flat_hair_is_no_thickness() -> None:
    """The same head with and without a bun of half the height of its forehead."""
    without = crown_height(1.25, hair(1.25 + FLAT, bulge=FLAT_BULGE))
    with_bun = crown_height(1.25, Hair(1.25 + FLAT + 0.5, 0.0, 0.0, FLAT_BULGE, 0.8, 0.0, knot=0.5))
    assert (with_bun.value, with_bun.sd) == pytest.approx((without.value, without.sd))


def test_big_hair_leaves_the_crown_to_the_face_and_says_so() -> None:
    found = crown_height(1.25, hair(2.2, bulge=0.6))
    assert found.value == pytest.approx(1.25, abs=0.1)
    assert found.sd > 0.07


def test_hair_that_falls_lies_flat_and_hair_that_bulges_without_falling_stands() -> None:
    """The same outline above, for a face that leaves both open: only the hair beside the jaw tells them apart."""
    fallen, standing = (crown_height(1.2, hair(1.55, bulge=0.3, fall=fall)).value for fall in (1.4, 0.8))
    assert fallen == pytest.approx(1.55 - crown.FALLEN, abs=0.1)
    assert standing < 1.2


def test_the_uncertainty_grows_when_face_and_hair_disagree() -> None:
    """About hair that may fall or stand, the face decides; a face between the two leaves it open."""
    high, low, between = (crown_height(face, hair(1.9, bulge=0.6, fall=1.1)).sd for face in (1.75, 1.0, 1.45))
    assert between > 1.5 * max(high, low)


def test_the_crown_never_rises_above_the_hair() -> None:
    for top in np.linspace(0.9, 2.4, 16):
        assert crown_height(1.25, hair(float(top), bulge=0.2)).value <= top + 0.02


def test_small_readings_of_pitch_shrink_and_large_ones_stay() -> None:
    assert likely_pitch_deg(0.0)[0] == 0.0
    assert abs(likely_pitch_deg(3.0)[0]) < 2.0
    assert likely_pitch_deg(20.0)[0] == pytest.approx(20.0, abs=1.5)
    assert likely_pitch_deg(-9.0)[0] == -likely_pitch_deg(9.0)[0]


def test_the_likely_pitch_is_bayes_rule() -> None:
    """Against the same integral, summed over a fine grid."""
    angle = np.linspace(-90, 90, 36_001)
    prior = sum(
        share * np.exp(-0.5 * (angle / sd) ** 2) / sd
        for share, sd in ((1 - NODDING_SHARE, LEVEL_SD_DEG), (NODDING_SHARE, NODDING_SD_DEG))
    )
    for reading in (-15.0, -7.0, 0.5, 4.0, 8.0, 11.0):
        weight = prior * np.exp(-0.5 * ((reading - angle) / PITCH_READING_SD_DEG) ** 2)
        mean = (angle * weight).sum() / weight.sum()
        sd = math.sqrt(((angle - mean) ** 2 * weight).sum() / weight.sum())
        assert likely_pitch_deg(reading) == pytest.approx((mean, sd), abs=0.01)


@pytest.mark.parametrize(("yaw", "pitch", "roll"), [(0, 0, 0), (20, 0, 0), (0, 15, 0), (0, 0, -30), (12, -9, 7)])
def test_alignment_recovers_a_known_rotation(yaw: float, pitch: float, roll: float) -> None:
    """R = Ry(yaw) Rx(-pitch) Rz(-roll) in axes x right, y up, z to the camera."""
    a, b, c = np.radians((yaw, -pitch, -roll))
    about_y = np.array(((np.cos(a), 0, np.sin(a)), (0, 1, 0), (-np.sin(a), 0, np.cos(a))))
    about_x = np.array(((1, 0, 0), (0, np.cos(b), -np.sin(b)), (0, np.sin(b), np.cos(b))))
    about_z = np.array(((np.cos(c), -np.sin(c), 0), (np.sin(c), np.cos(c), 0), (0, 0, 1)))
    model = face_model()
    turned = 170.0 * model.mean_shape @ (about_y @ about_x @ about_z).T + (40.0, -20.0, 5.0)
    rotation, scale, residual = align(turned, model.mean_shape, model.rigid)
    assert angles_deg(rotation) == pytest.approx((yaw, pitch, roll), abs=1e-6)
    assert scale == pytest.approx(170.0)
    assert np.abs(residual).max() < 1e-9


def test_the_mean_face_is_symmetric_and_has_unit_width() -> None:
    mean = face_model().mean_shape
    assert np.linalg.norm(mean[33] - mean[263]) == pytest.approx(1, abs=1e-5)
    assert mean[[33, 133, 61, 234], 0] == pytest.approx(-mean[[263, 362, 291, 454], 0], abs=1e-4)
    assert (mean[[33, 133], 0] < 0).all()
    assert mean[152, 1] < mean[13, 1] < mean[1, 1] < mean[10, 1]


def upright(unit_px: float = 200.0, roll_deg: float = 0.0) -> FaceShape:
    """Return a frontal mean face in the middle of a 600 x 800 picture."""
    landmarks = face_model().mean_shape * (unit_px, -unit_px, -unit_px) + (300.0, 400.0, 0.0)
    return FaceShape(landmarks, (0.0, 0.0, roll_deg), unit_px, np.array((300.0, 400.0)), {})


def test_the_upright_frame_goes_both_ways() -> None:
    shape = upright(roll_deg=10.0)
    places = np.array(((0.3, 1.2), (-0.5, -1.0)))
    assert shape.to_upright(shape.to_picture(places)) == pytest.approx(places)
    above = shape.to_picture(np.array((0.0, 1.0)))
    assert above[0] > 300
    assert above[1] < 400


@pytest.mark.parametrize("shift", [-0.02, 0.0, 0.02, 0.04])
def test_the_chin_is_found_where_it_is_darkest(shift: float) -> None:
    """A bright chin, a shade that falls to its darkest at the edge, and a neck that grows lighter again."""
    shape, head = upright(), 2.5
    edge_y = 400 + (1.25 + shift * head) * 200
    y = np.arange(800)
    above, below = np.clip((edge_y - y) / 25, 0, 1), np.clip((y - edge_y) / 40, 0, 1)
    grey = np.where(y < edge_y, 110 + 70 * above, 110 + 50 * below)
    picture = (grey[:, None, None] * np.ones((1, 600, 1)) * np.array((1.0, 0.8, 0.7))).astype(np.uint8)
    found = chin.chin_height(picture, shape, np.array((0.0, -1.25)), head)
    assert found.value == pytest.approx(-(1.25 + shift * head), abs=0.01 * head)


def test_the_chin_ends_where_the_shade_begins_that_a_scarf_prolongs() -> None:
    """Even darkness from the edge down for 5 % of the head: the edge is sought in its upper two fifths."""
    shape, head = upright(), 2.5
    edge_y, dark_px = 400 + 1.25 * 200, 0.05 * head * 200
    grey = np.full(800, 170)
    grey[round(edge_y) : round(edge_y + dark_px)] = 110
    picture = (grey[:, None, None] * np.ones((1, 600, 1)) * np.array((1.0, 0.8, 0.7))).astype(np.uint8)
    found = chin.chin_height(picture, shape, np.array((0.0, -1.25)), head)
    assert -1.25 - 0.4 * dark_px / 200 < found.value < -1.25


def test_without_any_shade_the_chin_stays_where_the_face_says() -> None:
    flat = np.full((800, 600, 3), (200, 160, 140), np.uint8)
    found = chin.chin_height(flat, upright(), np.array((0.0, -1.25)), 2.5)
    assert found.value == pytest.approx(-1.25, abs=0.02 * 2.5)
    assert found.sd > 0.015 * 2.5


def test_skin_that_is_dark_over_a_pale_beard_is_not_the_chin_s_edge() -> None:
    """Dark skin, a beard that only grows lighter downwards as far as is looked, and no shade: the face has the word."""
    shape, head = upright(), 2.5
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
    assert least <= bearded(skin, upright(), np.array(chin_lab, float)) <= most


def person_up_to(top_y: int) -> PersonMask:
    values = np.zeros((MASK_PX, MASK_PX), np.float32)
    values[int(top_y / 800 * MASK_PX) :, int(170 / 600 * MASK_PX) : int(430 / 600 * MASK_PX)] = 1
    return PersonMask(values, Rect(0, 0, 600, 800))


def test_wisps_above_the_mask_count_as_hair() -> None:
    picture = np.full((800, 600, 3), 200, np.uint8)
    picture[150:, 170:430] = 60
    picture[120:150, 290:310] = 60
    seen = hair_of(picture, upright(), person_up_to(150))
    assert seen is not None
    assert 400 - 200 * seen.top == pytest.approx(120, abs=4)
    assert 200 * seen.wisps == pytest.approx(30, abs=6)
    assert abs(seen.top_x) < 0.1


def test_hair_that_falls_is_wide_beside_the_jaw() -> None:
    picture, shape = np.full((800, 600, 3), 200, np.uint8), upright()
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
    shape = replace(upright(), raw_deg=(0.0, nod_deg, 0.0))
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


HEAD = (170, 130, 115)


def disc(jagged: float, top: tuple[int, int, int] = HEAD, scalp_from: float = 0.75) -> tuple[np.ndarray, float]:
    """Return a head before a plain backdrop, its outline straying by so much, and its height in face units."""
    y, x = np.mgrid[0:800, 0:600]
    stray = 200 * jagged * np.sqrt(2) * np.sin(x * 1.3)
    picture = np.full((800, 600, 3), 220, np.uint8)
    inside = np.hypot(x - 300, y - 320) + stray < 170
    picture[inside | ((np.abs(x - 300) < 170) & (y > 320))] = HEAD
    picture[inside & (y < 400 - 200 * scalp_from)] = top
    return picture, (400 - (320 - 170)) / 200


@pytest.mark.parametrize("jagged", [0.0, 0.01, 0.03])
def test_the_roughness_of_an_outline_is_what_it_strays(jagged: float) -> None:
    picture, top = disc(jagged)
    assert scalp.roughness(picture, upright(), top) == pytest.approx(jagged, rel=0.3, abs=0.002)


def test_without_a_backdrop_that_differs_no_outline_is_known() -> None:
    assert scalp.roughness(np.full((800, 600, 3), HEAD, np.uint8), upright(), 1.25) == math.inf


@pytest.mark.parametrize(
    ("jagged", "top", "bulge", "shaven"),
    [
        (0.001, (150, 120, 110), -0.1, True),
        (0.001, (60, 45, 40), -0.1, False),
        (0.02, (150, 120, 110), -0.1, False),
        (0.001, (220, 190, 110), -0.1, False),
        (0.001, (150, 120, 110), 0.3, False),
    ],
    ids=("stubble", "dark hair", "fair and ragged", "blond", "standing"),
)
def test_a_smooth_early_rounding_top_like_the_forehead_is_shaven(
    jagged: float, top: tuple[int, int, int], bulge: float, *, shaven: bool
) -> None:
    """All with a dark hairline, so that the midline alone would never call them bare."""
    picture, height = disc(jagged, top)
    stripe = slice(400 - 170, 400 - 160)
    picture[stripe, 200:400] = (60, 45, 40)
    assert (scalp.bareness(picture, upright(), height, bulge) > 0.5) is shaven


def test_a_mask_without_a_head() -> None:
    nobody = PersonMask(np.zeros((MASK_PX, MASK_PX), np.float32), Rect(0, 0, 600, 800))
    assert hair_of(np.full((800, 600, 3), 200, np.uint8), upright(), nobody) is None
