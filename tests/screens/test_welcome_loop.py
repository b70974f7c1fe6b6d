"""The loop on the welcome screen: it moves little, never flashes, and stands still where motion is unwanted."""

from itertools import pairwise

import numpy as np
import pytest

from kiosk.core.view.intent import Ease
from kiosk.i18n import Words
from kiosk.screens.sitter.welcome_loop import PERIOD_S, RATE_HZ
from kiosk.screens.stage import Stage
from tests.support.views import altered

SIZES = ((540, 960), (960, 540))


def luminance(picture):
    levels = np.arange(256) / 255
    table = np.where(levels <= 0.04045, levels / 12.92, ((levels + 0.055) / 1.055) ** 2.4)
    blue, green, red = (table[picture[::2, ::2, channel]] for channel in range(3))
    return 0.2126 * red + 0.7152 * green + 0.0722 * blue


def played(views, size, seconds, rate_hz=30, **changes):
    """Draw the welcome screen through some seconds; return the pictures and the share of the screen painted anew."""
    stage = Stage(size, Words.load("en"))
    pictures, painted = [], []
    for frame in range(round(seconds * rate_hz)):
        view = altered(views["welcome"], now_s=frame / rate_hz, **changes)
        pictures.append(stage.draw(view, None).copy())
        painted.append(
            sum((rows.stop - rows.start) * (columns.stop - columns.start) for rows, columns in stage.changed)
            / (size[0] * size[1])
        )
    return pictures, painted


@pytest.mark.parametrize("size", SIZES)
def test_only_the_loop_is_painted_anew_and_only_when_it_moves(views, size):
    pictures, painted = played(views, size, PERIOD_S)
    assert painted[0] >= 1.0
    assert max(painted[1:]) < 0.25
    assert np.count_nonzero(painted[1:]) <= (PERIOD_S - 1.5) * RATE_HZ, "it rests while the person is seen measured"
    assert any(np.any(picture != pictures[-1]) for picture in pictures[30:])


@pytest.mark.parametrize("is_light", [False, True])
@pytest.mark.parametrize("size", SIZES)
def test_nothing_flashes(views, size, is_light):
    """WCAG 2.2, 2.3.1: at most three flashes a second, or a small area; a flash is a pair of opposing changes by 0.1.

    A quarter of a 10 degree field is the small area; the loop's changes cover less of the screen at any moment.
    """
    pictures, _ = played(views, size, PERIOD_S + 1, rate_hz=15, is_light=is_light)
    shades = [luminance(picture) for picture in pictures]
    changed = [np.mean(np.abs(after - before) >= 0.1) for before, after in pairwise(shades)]
    assert max(changed) < 0.04
    turns = np.zeros(shades[0].shape)
    for begins in range(len(shades) - 15):
        second = np.stack(shades[begins : begins + 15])
        moves = np.diff(second, axis=0)
        moves[np.abs(moves) < 0.1] = 0
        signs = np.sign(moves)
        turns = np.maximum(turns, (np.diff(signs, axis=0) != 0).sum(axis=0))
    assert np.mean(turns > 12) < 0.005


def test_it_stands_still_where_motion_is_unwanted(views):
    pictures, painted = played(views, (540, 960), 4.0, rate_hz=5, ease=Ease(less_motion=True))
    assert all(np.array_equal(picture, pictures[0]) for picture in pictures)
    assert np.count_nonzero(painted) == 1


def test_a_loop_ends_as_it_began(views):
    pictures, _ = played(views, (540, 960), 2 * PERIOD_S, rate_hz=5)
    period = round(PERIOD_S * 5)
    assert all(np.array_equal(pictures[index], pictures[index + period]) for index in range(period))
