"""A few screens, pixel by pixel: the layout, the type and the drawings do not change unnoticed.

A picture agrees when at most 0.02 % of its pixels are off by more than 24 levels: another processor's rounding passes,
a line moved by one pixel fails. `WRITE_GOLDENS=1` writes them anew; look at them before you commit them.
"""

import os
from pathlib import Path

import cv2
import numpy as np
import pytest

from kiosk.i18n import Words
from kiosk.screens.hardware.display import save_png
from kiosk.screens.stage import Stage
from tests.support.views import altered

GOLDEN = Path(__file__).parents[1] / "golden"
OUT = Path(__file__).parents[1] / "out"
MOST_SHARE = 0.0002
MOST_LEVELS = 24

SCENES = {
    "welcome_en_portrait": ("welcome", "en", (540, 960)),
    "align_de_portrait": ("align", "de", (540, 960)),
    "align_holding_ar_landscape": ("align_holding", "ar", (960, 540)),
    "privacy_ar_portrait": ("privacy", "ar", (540, 960)),
    "review_fail_pl_landscape": ("review_fail", "pl", (960, 540)),
    "collect_fr_landscape": ("collect", "fr", (960, 540)),
}


def share_off(one: np.ndarray, other: np.ndarray) -> float:
    """Return the share of pixels that differ by more than `MOST_LEVELS` in any channel."""
    return float(np.mean(np.max(np.abs(one.astype(int) - other.astype(int)), axis=2) > MOST_LEVELS))


@pytest.mark.parametrize("name", SCENES)
def test_screen(views, frame, name):
    view, language, size = SCENES[name]
    stage = Stage(size, Words.load(language))
    picture = stage.draw(altered(views[view], language=language), frame)
    path = GOLDEN / f"{name}.png"
    if os.environ.get("WRITE_GOLDENS"):
        save_png(picture, path)
    golden = cv2.imread(str(path))
    assert golden is not None, f"{path} is missing"
    shown = picture[..., :3]
    assert golden.shape == shown.shape
    if share_off(golden, shown) > MOST_SHARE:
        OUT.mkdir(exist_ok=True)
        difference = np.abs(golden.astype(int) - shown.astype(int)).max(axis=2, keepdims=True)
        marked = np.repeat(np.where(difference > MOST_LEVELS, 255, 0), 3, axis=2).astype(np.uint8)
        side_by_side = OUT / f"{name}.png"
        cv2.imwrite(str(side_by_side), np.hstack([golden, shown, marked]))
        pytest.fail(f"golden, now and where they differ: {side_by_side}")


def test_the_rule_forgives_noise_and_finds_a_moved_line(views, frame):
    stage = Stage((540, 960), Words.load("en"))
    shown = stage.draw(views["welcome"], frame)[..., :3].astype(int)
    noise = np.random.default_rng(3).integers(-3, 4, shown.shape)
    assert share_off(shown, shown + noise) == 0
    assert share_off(shown, np.roll(shown, 1, axis=1)) > MOST_SHARE
