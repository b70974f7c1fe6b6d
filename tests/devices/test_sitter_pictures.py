from __future__ import annotations

import json
import math
from pathlib import Path

import cv2
import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from kiosk.core.base.geometry import Point, Size
from kiosk.devices.sim.frame import draw, warped
from kiosk.devices.sim.pictures import LIVE_PX, STILL_PX, GridPicture, load_pictures, nearest, placement
from kiosk.devices.sim.scenario import Pose
from kiosk.errors import CameraFault, SettingsRefused

SITTER = Path(__file__).parents[2] / "demo" / "sitter"
PICTURES = load_pictures(SITTER)
TRUTH = json.loads((SITTER / "truth.json").read_text())
BACKDROP_LUMINANCE = 197

poses = st.builds(
    Pose,
    x=st.floats(-0.2, 0.2),
    y=st.floats(-0.1, 0.1),
    scale=st.floats(0.7, 1.5),
    roll_deg=st.floats(-15, 15),
)


def truth_of(picture):
    return TRUTH[picture.file.stem]


def test_every_picture_is_there_and_has_its_size():
    assert len(PICTURES) == 9 * 7 + 3
    for picture in PICTURES:
        height, width, _ = cv2.imread(str(picture.file)).shape
        assert picture.size_px == Size(width, height)


@pytest.mark.parametrize("yaw_deg", [-24, -16, -10, -5, 0, 5, 10, 16, 24])
@pytest.mark.parametrize("pitch_deg", [-14, -8, -4, 0, 4, 8, 14])
def test_a_pose_on_the_grid_shows_its_own_picture(yaw_deg, pitch_deg):
    picture = nearest(PICTURES, Pose(yaw_deg=yaw_deg, pitch_deg=pitch_deg))
    assert (picture.yaw_deg, picture.pitch_deg, picture.expression) == (yaw_deg, pitch_deg, "neutral")


@pytest.mark.parametrize(
    ("pose", "expression"),
    [
        (Pose(eyes_open=False), "eyes_closed"),
        (Pose(eyes_open=False, mouth="open"), "eyes_closed"),
        (Pose(mouth="open", yaw_deg=4), "mouth_open"),
        (Pose(mouth="smile", pitch_deg=-3), "smile_teeth"),
        (Pose(mouth="smile", yaw_deg=20), "neutral"),
    ],
)
def test_a_face_is_shown_where_it_is_frontal(pose, expression):
    assert nearest(PICTURES, pose).expression == expression


@given(poses)
def test_the_head_lies_where_the_pose_says(pose):
    """Closed form: a similarity about the anchor."""
    picture = nearest(PICTURES, Pose())
    place = placement(picture, pose, STILL_PX)
    anchor = place.apply(picture.anchor_px)
    assert anchor.x == pytest.approx((0.5 + pose.x) * 1600)
    assert anchor.y == pytest.approx((0.45 + pose.y) * 2000)
    crown, chin = (place.apply(Point(*truth_of(picture)[name])) for name in ("skull_top_px", "chin_contour_px"))
    assert chin.distance(crown) == pytest.approx((1366.67 - 553.76) * pose.scale)
    # Roll > 0 leans the crown to the right of the picture.
    assert math.degrees(math.atan2(crown.x - chin.x, chin.y - crown.y)) == pytest.approx(pose.roll_deg, abs=1e-6)


def test_still_and_live_frame_show_the_same_view():
    pose = Pose(x=0.1, y=-0.05, scale=1.2, roll_deg=7, yaw_deg=10)
    picture = nearest(PICTURES, pose)
    chin = Point(*truth_of(picture)["chin_contour_px"])
    still, live = (placement(picture, pose, size).apply(chin) for size in (STILL_PX, LIVE_PX))
    assert (live.x / 640, live.y / 800) == pytest.approx((still.x / 1600, still.y / 2000))


@pytest.mark.parametrize("expression", ["eyes_closed", "smile_teeth", "mouth_open"])
def test_the_skull_stays_where_it_is_when_the_face_moves(expression):
    """The pictures were framed differently; anchor and zoom must undo it."""
    tops = []
    for wanted in ("neutral", expression):
        picture = next(p for p in PICTURES if (p.yaw_deg, p.pitch_deg, p.expression) == (0, 0, wanted))
        tops.append(placement(picture, Pose(), STILL_PX).apply(Point(*truth_of(picture)["skull_top_px"])))
    assert tops[0].distance(tops[1]) < 0.5


@pytest.mark.parametrize("frame_px", [STILL_PX, LIVE_PX, Size(200, 250)])
@given(pose=poses)
@settings(max_examples=30, deadline=None)
def test_a_dot_lands_where_the_map_says(tmp_path_factory, frame_px, pose):
    """The centroid of a round dot is carried along by the drawing as its centre is by the map.

    To a tenth of a pixel of the frame; counting from pixel centres instead of corners would be off by half of one.
    """
    dot = Point(731.3, 1012.8)
    file = tmp_path_factory.getbasetemp() / "dot.png"
    if not file.exists():
        y, x = np.mgrid[0:2200, 0:1800] + 0.5
        blob = 255 * np.exp(-((x - dot.x) ** 2 + (y - dot.y) ** 2) / (2 * 10.0**2))
        cv2.imwrite(str(file), blob.round().astype(np.uint8))
    picture = GridPicture(file, Size(1800, 2200), 0, 0, "neutral", Point(900, 970), 1.0)
    place = placement(picture, pose, frame_px)
    frame = warped(picture, place, frame_px)[..., 0].astype(float)
    v, u = np.mgrid[0 : frame.shape[0], 0 : frame.shape[1]] + 0.5
    found = Point((u * frame).sum() / frame.sum(), (v * frame).sum() / frame.sum())
    assert found.distance(place.apply(dot)) < 0.1


@pytest.mark.parametrize("pose", [Pose(), Pose(scale=0.8, x=0.1), Pose(scale=1.3, y=0.1), Pose(yaw_deg=16, x=-0.1)])
def test_the_hair_top_of_the_pixels_is_that_of_the_truth(pose):
    """The highest row that is not backdrop, against the row the renderer gave, to 0.2 % of the frame's height."""
    picture = nearest(PICTURES, pose)
    frame = draw(PICTURES, pose, STILL_PX).astype(int)
    rows = np.flatnonzero((frame.max(axis=-1) < BACKDROP_LUMINANCE - 60).sum(axis=1) >= 3)
    top = placement(picture, pose, STILL_PX).apply(Point(picture.anchor_px.x, truth_of(picture)["hair_top_y_px"]))
    assert rows[0] == pytest.approx(top.y, abs=4)


@pytest.mark.parametrize("pose", [None, Pose(scale=0.65, x=0.25, y=0.1, roll_deg=12), Pose(scale=0.7, x=-0.25)])
def test_the_backdrop_goes_on_to_the_edges_of_the_frame(pose):
    frame = draw(PICTURES, pose, LIVE_PX).astype(float)
    border = np.concatenate(
        [frame[:20].reshape(-1, 3), frame[:400, :20].reshape(-1, 3), frame[:400, -20:].reshape(-1, 3)]
    )
    assert np.abs(border - [199, 197, 196]).max() < 8


def test_the_backdrop_beyond_the_picture_has_no_streaks():
    frame = draw(PICTURES, Pose(scale=0.7, x=0.25), LIVE_PX).astype(int)
    beyond = frame[:, 5]
    assert (frame[:, :10] == beyond[:, None]).all()
    assert np.abs(np.diff(beyond, axis=0)).max() <= 1
    assert np.count_nonzero(np.diff(beyond, axis=0)) < 30


def test_nobody_is_in_the_empty_booth():
    frame = draw(PICTURES, None, STILL_PX)
    assert frame.shape == (2000, 1600, 3)
    assert frame.reshape(-1, 3).std(axis=0).max() < 2.5


def test_a_folder_without_its_list_is_refused(tmp_path):
    with pytest.raises(SettingsRefused, match="No such file"):
        load_pictures(tmp_path)
    (tmp_path / "truth.json").write_text('{"a": {"file": "a.jpg"}}')
    with pytest.raises(SettingsRefused, match="size"):
        load_pictures(tmp_path)
    (tmp_path / "truth.json").write_text("{")
    with pytest.raises(SettingsRefused, match=r"truth\.json"):
        load_pictures(tmp_path)


def test_a_picture_that_is_gone_is_a_fault_of_the_camera(tmp_path):
    (tmp_path / "truth.json").write_text((SITTER / "truth.json").read_text())
    with pytest.raises(CameraFault, match="cannot be read"):
        draw(load_pictures(tmp_path), Pose(), LIVE_PX)
