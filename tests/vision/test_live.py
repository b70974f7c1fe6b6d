"""The live look from frame to frame, and beside the still of the same sitter."""

from __future__ import annotations

import math

import cv2
import numpy as np
import pytest

from kiosk.vision.live import ROUND, LiveVision
from tests.support.rendered_sitters import TRUTH, Measured, picture


@pytest.mark.parametrize("grows", [False, True])
def test_live_follows_a_head_from_frame_to_frame(live: LiveVision, grows: bool) -> None:
    """The picture slides by 4 px a frame, or grows by 1 % a frame; all points of the head go with it, within 1 %.

    The hair's top is an edge of the segmentation, whose numbers differ from processor to processor: with the same code
    it was within 1 % on one machine and 1.008 % aside on another, and is given 1.5 %.
    """
    frame = picture("ok_000")
    height, width = frame.shape[:2]
    still_points = live.observe(frame).points
    assert still_points is not None
    for step in range(1, ROUND + 10):
        larger, aside = (1 + 0.01 * step, 0) if grows else (1.0, 4 * step)
        change = np.array([[larger, 0, aside], [0, larger, 0]])
        moved = cv2.warpAffine(frame, change, (width, height), borderMode=cv2.BORDER_REPLICATE)
        points = live.observe(moved).points
        assert points is not None
        for name in ("crown", "hair_top", "chin", "right_eye", "left_eye"):
            before, now = getattr(still_points, name), getattr(points, name)
            off = math.hypot(now.x - larger * before.x - aside, now.y - larger * before.y)
            share = 0.015 if name == "hair_top" else 0.01
            assert off < share * larger * still_points.head_height_px(), (step, name)


def test_live_tells_of_a_second_person_within_a_round(live: LiveVision) -> None:
    alone = np.hstack((picture("ok_000"), np.full_like(picture("ok_003"), picture("ok_000")[5, 5])))
    both = np.hstack((picture("ok_000"), picture("ok_003")))
    assert live.observe(alone).faces == 1
    assert [live.observe(both).faces for _ in range(ROUND)][-1] == 2
    assert live.observe(alone).faces == 1, "and at once when they have gone"


@pytest.mark.parametrize(
    ("share", "factor", "requirement"),
    [(0.2, 0.3, "background_uniformity"), (0.5, 0.4, "illumination_uniformity")],
)
def test_live_tells_of_another_background_and_light_within_a_round(
    live: LiveVision, share: float, factor: float, requirement: str
) -> None:
    """A dark band beside the sitter, and half a face in the shade."""
    spoiled = picture("ok_000").copy()
    middle = round(TRUTH["ok_000"]["landmarks_px"]["chin_contour"][0])
    spoiled[:, : round(2 * share * middle)] = spoiled[:, : round(2 * share * middle)] * factor
    before = live.observe(picture("ok_000")).measurements[requirement]
    assert before.value is not None
    now = [live.observe(spoiled).measurements[requirement] for _ in range(ROUND)][-1]
    assert now.value is not None
    assert abs(now.value - before.value) > 5 * before.uncertainty


def test_still_and_live_agree(measured: Measured, live: LiveVision) -> None:
    seen, observed = measured("ok_008"), live.observe(picture("ok_008"))
    shared = set(observed.measurements) & set(seen.measurements)
    assert {"yaw", "pitch", "roll", "eyes_open", "mouth_closed", "background_uniformity"} <= shared
    for name in shared:
        one, other = seen.measurements[name], observed.measurements[name]
        assert one.unit == other.unit
        assert abs(one.value - other.value) <= 3 * one.uncertainty + 1e-9, name
