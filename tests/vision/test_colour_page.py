"""Colours read back from pictures of the colour page: at a slant, in tinted and uneven light, with a tone curve, noisy.

The page is the real one, drawn by poppler; printer, light and camera are maps whose effect is known in closed form.
"""

import numpy as np
import pytest

from kiosk.core.base.colour import linear
from kiosk.core.print_colour.chart import chart_for
from kiosk.core.print_colour.judging import aim, judged
from kiosk.core.sheet.imposition import Margins
from kiosk.core.sheet.media import medium
from kiosk.errors import UnreadableColours
from kiosk.vision.targets.colour_page import read_colour_page
from tests.support.printed_colours import BORDER_MM, PX_PER_MM, inked, page_pixels, pictured

BLACK = 0.006
CAST = np.array([1.2, 1.0, 0.86])


@pytest.fixture(scope="module")
def chart():
    return chart_for(medium("4x6in").size_mm, Margins(), 3)


@pytest.fixture(scope="module")
def pixels(chart, tmp_path_factory):
    return page_pixels(chart, tmp_path_factory.mktemp("page"))


def size(chart):
    return chart.page_mm.width, chart.page_mm.height


def true(light):
    return light


def too_dark(light):
    return light**1.25


def tinted(light):
    """Add a printer's cast that is strongest in the middle, and none at paper and black."""
    return light * CAST ** (4 * np.sqrt(light) * (1 - np.sqrt(light)))


SEEN = [
    {},
    {"power": 1.2, "tint": (1.1, 1.0, 0.8)},
    {"power": 0.85, "falloff": 0.3, "slant": True},
    {"falloff": 0.2, "turns": 1},
    {"slant": True, "turns": 2, "tint": (0.85, 1.0, 1.05)},
]


@pytest.mark.parametrize("how", SEEN)
def test_a_true_page_is_found_true_however_it_is_pictured(chart, pixels, how):
    found = judged(chart, read_colour_page(pictured(inked(pixels, true, BLACK), size(chart), **how), chart))
    assert found.cast.value < 1.5
    assert found.tone.value < 1.5
    assert found.colours < 1.0
    assert found.skins < 1.0
    assert 1.5 <= found.cast.uncertainty < 2.5
    assert found.black_l == pytest.approx(5.4, abs=1.0)


@pytest.mark.parametrize("how", SEEN[1:3])
def test_a_tone_that_is_off_is_found_by_how_much_it_is(chart, pixels, how):
    found = judged(chart, read_colour_page(pictured(inked(pixels, too_dark, BLACK), size(chart), **how), chart))
    wedge = [patch for patch in chart.patches if patch.row == "A"]
    off = []
    for patch in wedge:
        y = linear(patch.code[0] / 255) ** 1.25
        lightness = 116 * np.cbrt(BLACK + (1 - BLACK) * y) - 16
        off.append(abs(lightness - aim(patch, BLACK)[0]))
    assert found.tone.value == pytest.approx(max(off), abs=1.5)
    assert found.tone.value > 5


@pytest.mark.parametrize("how", SEEN[1:])
def test_a_cast_of_the_greys_is_found_in_tinted_light_as_in_neutral_light(chart, pixels, how):
    plain = judged(chart, read_colour_page(pictured(inked(pixels, tinted, BLACK), size(chart)), chart))
    found = judged(chart, read_colour_page(pictured(inked(pixels, tinted, BLACK), size(chart), **how), chart))
    assert plain.cast.value > 6
    assert found.cast.value == pytest.approx(plain.cast.value, abs=1.0)


@pytest.mark.parametrize("paper", ["5x7in", "a4"])
def test_other_papers_are_read_alike(paper, tmp_path):
    chart = chart_for(medium(paper).size_mm, Margins(), 7)
    light = inked(page_pixels(chart, tmp_path, 150), true, BLACK)
    found = judged(chart, read_colour_page(pictured(light, size(chart), power=1.1, falloff=0.2), chart))
    assert max(found.cast.value, found.tone.value) < 1.5


def test_another_page_is_refused_by_the_order_of_its_greys(chart, pixels):
    readings = read_colour_page(pictured(inked(pixels, true), size(chart)), chart)
    for number in range(4, 24):
        with pytest.raises(UnreadableColours, match=f"not in the order of page {number}"):
            judged(chart_for(chart.page_mm, Margins(), number), readings)


@pytest.mark.parametrize(
    ("how", "words"),
    [
        ({"card": (0.05, 0.05, 0.05)}, "no grey card of 18 %"),
        ({"card": (0.3, 0.18, 0.1)}, "no grey card of 18 %"),
        ({"card": (0.8, 0.8, 0.8)}, "no grey card of 18 %"),
        ({"exposure": 1.2}, "burnt out"),
        ({"exposure": 0.09}, "dark"),
    ],
)
def test_a_picture_from_which_nothing_can_be_known_is_refused(chart, pixels, how, words):
    with pytest.raises(UnreadableColours, match=words):
        read_colour_page(pictured(inked(pixels, true), size(chart), **how), chart)


def test_a_picture_without_a_card_without_the_marks_or_too_small_is_refused(chart, pixels):
    whole = pictured(inked(pixels, true), size(chart))
    right = round((BORDER_MM + chart.page_mm.width + 2) * PX_PER_MM)
    with pytest.raises(UnreadableColours, match="no grey card is to be seen"):
        read_colour_page(whole[:, :right], chart)
    with pytest.raises(UnreadableColours, match="round marks"):
        read_colour_page(np.ascontiguousarray(whole[: len(whole) // 2]), chart)
    with pytest.raises(UnreadableColours, match=r"round marks|too small"):
        read_colour_page(np.ascontiguousarray(whole[::6, ::6]), chart)


def test_a_thing_or_a_shadow_across_the_page_is_noticed(chart, pixels):
    for light in (0.0, 0.5):
        seen = pictured(inked(pixels, true), size(chart))
        top, bottom, left, right = (round((BORDER_MM + mm) * PX_PER_MM) for mm in (122.0, 127.5, 30.0, 60.0))
        seen[top:bottom, left:right] = seen[top:bottom, left:right] * light
        with pytest.raises(UnreadableColours, match=r"dark|lies across"):
            read_colour_page(seen, chart)
