"""Points, angles, lids and lips in pictures and faces whose geometry is known in closed form."""

from __future__ import annotations

import json
import math
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import cv2
import numpy as np
import pytest

from kiosk.core.base.geometry import Point, Range
from kiosk.core.base.measurement import HeadPoints, Observation
from kiosk.core.judging.conformance import word_for
from kiosk.vision.face.face_model import FaceShape, face_model
from kiosk.vision.measures import expression
from kiosk.vision.measures.expression import brows_raised, measure_expression_neutrality, smiling
from kiosk.vision.measures.eyes_open import LEFT_CORNERS, LEFT_LIDS, RIGHT_CORNERS, RIGHT_LIDS, openings
from kiosk.vision.measures.inter_eye_distance import measure_inter_eye_distance
from kiosk.vision.measures.mouth import INNER_LIPS, measure_mouth_closed
from kiosk.vision.measures.pitch import measure_pitch
from kiosk.vision.measures.roll import measure_roll
from kiosk.vision.measures.yaw import measure_yaw
from kiosk.vision.pictures.photo_file import read_photo
from kiosk.vision.still import StillVision

SITTERS = Path(__file__).parents[1] / "data" / "sitters"
SIDE_PX, UNIT_PX = 1000, 200.0
FACE = FaceShape(
    face_model().mean_shape * (UNIT_PX, -UNIT_PX, -UNIT_PX) + (500.0, 500.0, 0.0),
    (0.0, 0.0, 0.0),
    UNIT_PX,
    np.array((500.0, 500.0)),
    {},
)
"""The mean face, upright and frontal."""

NEUTRAL = Range(0.5, None)
"""The limit of expression_neutrality in specs/capture.toml."""


def through(
    vision: StillVision, pan_deg: float, tilt_deg: float, roll_deg: float
) -> tuple[Observation, Observation, np.ndarray]:
    """Return what is seen of a rendered sitter, the same by a camera turned on the spot, and the map between the two.

    Turning a camera about its own centre moves the picture by the homography K R K^-1 (Hartley and Zisserman, Multiple
    View Geometry, chapter 8; from memory), whatever is in it.
    """
    truth = json.loads((SITTERS / "truth.json").read_text())["images"]["ok_003"]
    lens, rgb = truth["camera"], read_photo(SITTERS / truth["file"]).rgb
    focal_px = lens["fx"]
    taken = np.array(((focal_px, 0, lens["cx"]), (0, focal_px, lens["cy"]), (0, 0, 1)))
    larger = np.array(((focal_px, 0, SIDE_PX / 2), (0, focal_px, SIDE_PX / 2), (0, 0, 1)))
    turned = np.eye(3)
    for axis, angle_deg in ((0, tilt_deg), (1, pan_deg), (2, roll_deg)):
        turned = cv2.Rodrigues(np.radians(angle_deg) * np.eye(3)[axis])[0] @ turned
    corner = np.array(((1, 0, 0.5), (0, 1, 0.5), (0, 0, 1)))

    def picture(turn: np.ndarray) -> np.ndarray:
        between = np.linalg.inv(corner) @ larger @ turn @ np.linalg.inv(taken) @ corner
        return cv2.warpPerspective(
            rgb, between, (SIDE_PX, SIDE_PX), flags=cv2.INTER_CUBIC, borderMode=cv2.BORDER_REPLICATE
        )

    before, after = vision.measure(picture(np.eye(3))), vision.measure(picture(turned))
    return before, after, larger @ turned @ np.linalg.inv(larger)


@pytest.mark.parametrize(("pan_deg", "tilt_deg", "roll_deg"), [(4.0, -1.5, 0.0), (-3.0, 0.0, 6.0)])
def test_a_camera_turned_on_the_spot(still: StillVision, pan_deg: float, tilt_deg: float, roll_deg: float) -> None:
    """The points go with the homography, roll with the camera's; yaw and pitch, against the line of sight, stay."""
    before, after, homography = through(still, pan_deg, tilt_deg, roll_deg)
    assert before.points is not None
    assert after.points is not None
    for name in ("right_eye", "left_eye", "chin", "crown"):
        was, now = getattr(before.points, name), getattr(after.points, name)
        x, y, w = homography @ (was.x, was.y, 1)
        assert np.hypot(now.x - x / w, now.y - y / w) < 0.02 * before.points.head_height_px(), name
    for name, moved_deg in (("yaw", 0.0), ("pitch", 0.0), ("roll", roll_deg)):
        change_deg = after.measurements[name].value - before.measurements[name].value
        assert change_deg == pytest.approx(moved_deg, abs=1.0), name


def with_gap(pairs: tuple[tuple[int, int], ...], gap_px: float) -> FaceShape:
    """Return the face with pairs of landmarks put so far apart, one above the other."""
    points = FACE.landmarks_px.copy()
    for upper, lower in pairs:
        middle = (points[upper] + points[lower]) / 2
        half = np.array((0, gap_px / 2, 0))
        points[upper], points[lower] = middle - half, middle + half
    return replace(FACE, landmarks_px=points)


@pytest.mark.parametrize("opening", [0.0, 0.1, 0.3])
@pytest.mark.parametrize(("lids", "corners"), [(RIGHT_LIDS, RIGHT_CORNERS), (LEFT_LIDS, LEFT_CORNERS)])
def test_lids_a_known_part_of_the_eye_apart(
    opening: float, lids: tuple[tuple[int, int], ...], corners: tuple[int, int]
) -> None:
    """The eye that is open less counts, be it the right or the left; the other stays wide open."""
    width_px = float(np.linalg.norm(np.subtract(*FACE.landmarks_px[list(corners), :2])))
    other = LEFT_LIDS if lids == RIGHT_LIDS else RIGHT_LIDS
    wide = with_gap(other, 0.5 * width_px)
    points = wide.landmarks_px.copy()
    moved = with_gap(lids, opening * width_px).landmarks_px
    for pair in lids:
        points[list(pair)] = moved[list(pair)]
    assert min(openings(points)) == pytest.approx(opening, abs=1e-6)


@pytest.mark.parametrize("gap_px", [0.0, 8.0, 40.0])
def test_lips_a_known_part_of_the_head_apart(gap_px: float) -> None:
    points = HeadPoints(Point(0, 100), Point(0, 90), Point(0, 500), Point(-50, 300), Point(50, 300))
    assert measure_mouth_closed(with_gap(INNER_LIPS[:1], gap_px), points).value >= gap_px / 400
    found = measure_mouth_closed(with_gap(INNER_LIPS, gap_px), points).value
    assert found == pytest.approx(gap_px / 400, abs=1e-9)


@pytest.mark.parametrize("yaw_deg", [0.0, 25.0, -25.0])
def test_eyes_a_known_distance_apart_on_a_turned_head(yaw_deg: float) -> None:
    """Seen from afar, a head turned by yaw shows its eyes nearer by the cosine: 3, 4, 5 for a line that slopes."""
    shown = 100 * math.cos(math.radians(yaw_deg))
    points = HeadPoints(Point(0, 0), Point(0, 0), Point(0, 9), Point(0, 0), Point(0.8 * shown, 0.6 * shown))
    found = measure_inter_eye_distance(points, yaw_deg)
    assert found.value == pytest.approx(100)
    assert found.unit == "px"


def test_what_the_regression_adds_to_the_alignment() -> None:
    regressed = {"yaw": 1.5, "pitch": -4.0, "roll": 0.5}
    shape = replace(FACE, raw_deg=(10.0, 34.0, -6.0), regressed=regressed)
    assert measure_yaw(shape).value == pytest.approx(11.5)
    assert measure_pitch(shape).value == pytest.approx(30.0, abs=1.5), "far readings stay, see `likely_pitch_deg`"
    assert measure_roll(shape).value == pytest.approx(-5.5)


def moved_along(name: str, share: float) -> FaceShape:
    """Return the mean face, its outline moved along a fitted direction, and nothing turned or shifted as a whole."""
    change = np.zeros_like(FACE.landmarks_px)
    change[:, :2] = np.load(expression.FILE)[name] * (1, -1)
    change -= change.mean(axis=0)
    return replace(FACE, landmarks_px=FACE.landmarks_px + share * change)


def test_raised_brows_alone_refer_a_neutral_face_and_never_refuse_it() -> None:
    for raised, word in ((-0.5, "pass"), (0.4, "pass"), (1.1, "refer"), (5.0, "refer")):
        assert word_for(measure_expression_neutrality(FACE, raised), NEUTRAL) == word


def test_a_smile_takes_neutrality_down_to_nothing() -> None:
    values = [measure_expression_neutrality(moved_along("smile", share)).value for share in (-0.2, 0.0, 0.1, 1.0)]
    assert values == sorted(values, reverse=True)
    assert values[0] > values[2] > values[3] == 0


@pytest.mark.parametrize(("name", "read"), [("smile", smiling), ("brows", brows_raised)])
def test_a_face_that_moves_as_in_the_mean_raises_the_reading_by_what_it_moves(
    name: str, read: Callable[[FaceShape], float]
) -> None:
    """The reading is linear: twice the change of shape is twice the change of the reading."""
    moved = [read(moved_along(name, share)) for share in (0, 4, 8)]
    assert moved[1] > moved[0]
    assert moved[2] - moved[1] == pytest.approx(moved[1] - moved[0], rel=0.05)
