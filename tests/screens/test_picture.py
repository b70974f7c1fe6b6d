"""The live picture: its crop, its mirror, and the outline that stays on the head."""

import cv2
import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from kiosk.core.base.geometry import Rect
from kiosk.screens.toolkit import theme
from kiosk.screens.toolkit.live_picture import LivePicture, crop_px
from tests.support.views import altered

sides = st.integers(200, 4000)


@given(sides, sides, st.floats(0.5, 2.5), st.floats(0.05, 0.6), st.floats(0.05, 0.8), st.floats(0, 1), st.floats(0, 1))
def test_the_crop_keeps_the_whole_guide_and_the_panels_shape(width, height, aspect, share_x, share_y, x, y):
    guide = Rect(x * (1 - share_x), y * (1 - share_y), share_x, share_y)
    crop = crop_px(width, height, aspect, guide)
    assert Rect(0, 0, width, height).contains(crop)
    assert crop.width <= crop.height * aspect + 2, "never wider than the panel"
    assert crop.y <= guide.y * height + 1
    assert crop.bottom >= guide.bottom * height - 1
    if crop.width >= guide.width * width:
        assert crop.x <= guide.x * width + 1
        assert crop.right >= guide.right * width - 1


def shown_part(stage, picture):
    (rect,) = [part.rect for part in stage.moving if isinstance(part, LivePicture)]
    return picture[round(rect.y) : round(rect.bottom), round(rect.x) : round(rect.right)]


@pytest.mark.parametrize("mirror", [True, False])
def test_the_picture_is_mirrored_like_a_mirror_when_asked(draw, views, size, mirror):
    """The drawn sitter has one dark eye, at the picture's right."""
    part = shown_part(*draw(altered(views["align"], mirror=mirror), size))
    dark = np.argwhere(np.all(part[..., :3] == 20, axis=2))
    assert len(dark) > 50
    assert (dark[:, 1].mean() < part.shape[1] / 2) == mirror


@pytest.mark.parametrize("mirror", [True, False])
def test_the_outline_follows_the_guide(draw, views, size, mirror):
    """A guide moved to the picture's left is drawn to the left, or to the right in a mirror."""
    guide, outer = Rect(0.2, 0.2275, 0.3, 0.434), Rect(0.15, 0.15, 0.4, 0.58)
    view = altered(views["align_holding"], guide=guide, inner=guide, outer=outer, mirror=mirror)
    part = shown_part(*draw(view, size))
    aimed = np.all(part[..., :3] == theme.GOOD[::-1], axis=2)
    aimed[:, :10] = aimed[:, -10:] = False
    middle = np.argwhere(aimed[20 : part.shape[0] // 2])[:, 1].mean()
    assert (middle < part.shape[1] / 2) != mirror


def test_a_picture_of_another_shape_is_not_stretched(draw, views, size):
    """A circle stays a circle, in a landscape picture as in a portrait one."""
    for width, height in ((1280, 853), (853, 1280), (800, 800)):
        frame = np.full((height, width, 3), 60, np.uint8)
        cv2.circle(frame, (width // 2, round(height * 0.45)), height // 14, (250, 0, 250), -1)
        stage, _ = draw(views["align"], size)
        part = shown_part(stage, stage.draw(views["align"], frame))
        pink = np.argwhere((part[..., 0] > 200) & (part[..., 1] < 60) & (part[..., 2] > 200))
        high, wide = np.ptp(pink, axis=0) + 1
        assert wide / high == pytest.approx(1, abs=0.04)


def test_the_last_picture_stays_while_the_shot_is_measured_and_is_then_let_go(draw, views, frame):
    stage, before = draw(views["align_holding"], (1080, 1920))
    shot = shown_part(stage, stage.draw(views["shooting"], None)).copy()
    assert np.mean(np.abs(shot.astype(int) - shown_part(stage, before).astype(int)) > 8) < 0.02
    stage.draw(views["review_fail"], None)
    empty = shown_part(*(stage, stage.draw(views["measuring"], None)))
    assert np.mean(np.abs(shot.astype(int) - empty.astype(int)) > 8) > 0.5
