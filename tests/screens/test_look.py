"""Contrast, and never colour alone: measured on the painted screens."""

from dataclasses import replace
from typing import get_args

import cv2
import numpy as np
import pytest

from kiosk.core.view.align import Check
from kiosk.screens.toolkit import theme
from kiosk.screens.toolkit.theme import ThemeColour, contrast
from tests.support.cases import slow_but
from tests.support.views import altered


@pytest.mark.parametrize(
    ("one", "other", "ratio"),
    [
        (ThemeColour(0, 0, 0), ThemeColour(255, 255, 255), 21.0),
        (ThemeColour(255, 255, 255), ThemeColour(255, 255, 255), 1.0),
        # The least grey on white that passes 4.5:1, quoted wherever WCAG contrast is taught (from memory).
        (ThemeColour(0x76, 0x76, 0x76), ThemeColour(255, 255, 255), 4.54),
        # Pure red, green and blue on white (from memory of the same tables).
        (ThemeColour(255, 0, 0), ThemeColour(255, 255, 255), 4.0),
        (ThemeColour(0, 0, 255), ThemeColour(255, 255, 255), 8.59),
    ],
)
def test_contrast_is_that_of_wcag(one, other, ratio):
    assert contrast(one, other) == pytest.approx(ratio, abs=0.005)
    assert contrast(other, one) == contrast(one, other)


@pytest.mark.parametrize("is_light", [False, True], ids=["dark", "light"])
@pytest.mark.parametrize("language", slow_but(["ar"], ["de", "ar"]))
def test_every_text_stands_out_from_what_is_painted_behind_it(draw, view, size, language, is_light):
    stage, picture = draw(altered(view, is_light=is_light), size, language)
    for box, block in stage.blocks:
        region = picture[round(box.y) : round(box.bottom) : 3, round(box.x) : round(box.right) : 3, 2::-1]
        behind = ThemeColour(*np.median(region.reshape(-1, 3), axis=0).astype(int).tolist())
        assert contrast(block.style.colour, behind) >= 4.5, (block.text, behind)


@pytest.mark.parametrize("look", get_args(theme.Look))
def test_edges_and_signs_stand_out(look):
    def shown(colour):
        return theme.shown(colour, theme.Palette(look))

    for ground in map(shown, (theme.INK, theme.SURFACE, theme.RAISED)):
        for colour in (theme.LINE, theme.GUIDE, theme.ACCENT, theme.GOOD, theme.STOP, theme.FOCUS, theme.TEXT):
            assert contrast(shown(colour), ground) >= 3.0, (colour, ground)
        assert contrast(shown(theme.TEXT), ground) >= 7.0
        assert contrast(shown(theme.MUTED), ground) >= 7.0
    assert contrast(shown(theme.INK), shown(theme.ACCENT)) >= 4.5


def test_no_dark_surface_is_left_in_the_light_theme(draw, view, size):
    """What a screen paints without a place in the theme would stay dark; words and drawings take little of it."""
    stage, picture = draw(altered(view, is_light=True, photo_jpeg=b"", photos=()), size)
    for part in stage.moving:
        rect = part.rect
        picture[round(rect.y) : round(rect.bottom), round(rect.x) : round(rect.right)] = 255
    assert np.mean(luminance(picture) < 0.2) < 0.25
    assert np.mean(luminance(picture) > 0.8) > 0.6


def test_checks_differ_without_colour(draw, views):
    """In grey, each state of a check still looks different: its sign has a shape of its own."""
    looks = []
    for word in ("pass", "fail", "unmeasured"):
        checks = tuple(Check(check.key, word) for check in views["align"].align.checks)
        _, picture = draw(altered(views["align"], checks=checks), (1080, 1920))
        grey = cv2.cvtColor(picture[1585:1715, 48:212], cv2.COLOR_BGRA2GRAY)
        looks.append(cv2.threshold(grey, 100, 255, cv2.THRESH_BINARY)[1])
    for index, one in enumerate(looks):
        for other in looks[:index]:
            assert np.mean(one != other) > 0.02


def test_every_screen_says_that_it_is_a_simulation_and_only_then(draw, view, small):
    strip = (slice(0, round(80 * min(small) / 1080)), slice(None))
    simulated = draw(view, small)[1]
    real = altered(view, simulated=False)
    assert np.any(simulated[strip] != draw(real, small)[1][strip])
    assert np.all(draw(replace(real, called=False), small)[1][strip][..., :3] == theme.INK[::-1])


def test_nothing_flashes_from_holding_still_to_measuring(draw, views, frame):
    """WCAG 2.2 2.3.1: a flash is a change of relative luminance by 0.1 or more; here only words and rings do."""
    states = [altered(views["align_holding"], hold_fraction=step / 10) for step in range(11)]
    states += [views["shooting"], views["measuring"], altered(views["measuring"], now_s=2.0)]
    stage, _ = draw(states[0], (1080, 1920))
    before = None
    for view in states:
        now = luminance(stage.draw(view, frame if view.state == "align" else None))
        if before is not None:
            assert np.mean(np.abs(now - before) >= 0.1) < 0.1
        before = now


def luminance(picture):
    levels = np.arange(256) / 255
    table = np.where(levels <= 0.04045, levels / 12.92, ((levels + 0.055) / 1.055) ** 2.4)
    blue, green, red = (table[picture[::4, ::4, channel]] for channel in range(3))
    return 0.2126 * red + 0.7152 * green + 0.0722 * blue
