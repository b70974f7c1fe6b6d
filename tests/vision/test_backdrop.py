"""The backdrop's map and its comparison, on pictures whose light is known in closed form."""

from __future__ import annotations

from dataclasses import replace
from datetime import date

import cv2
import numpy as np
import pytest

from kiosk.core.base.colour import luminance_of_lightness
from kiosk.core.camera_setup.backdrop import COLUMNS, ROWS, compare, suitable
from kiosk.vision.targets.backdrop import measure_backdrop
from tests.ptpip.rig import sitter_pictures

DAY, LATER = date(2026, 3, 1), date(2026, 3, 9)
HEIGHT, WIDTH = 800, 640
Y, X = (np.mgrid[0:HEIGHT, 0:WIDTH] + 0.5) / np.array([HEIGHT, WIDTH])[:, None, None]
PLAIN = np.full((HEIGHT, WIDTH, 3), 0.5)


def picture(light):
    """Return linear light as sRGB (IEC 61966-2-1), 0 to 1 as 0 to 255, with a sensor's noise."""
    code = np.where(light <= 0.0031308, 12.92 * light, 1.055 * np.maximum(light, 1e-9) ** (1 / 2.4) - 0.055)
    noise = np.random.default_rng(0).normal(0, 2, light.shape)
    return np.clip(np.round(255 * code + noise), 0, 255).astype(np.uint8)


def seen(light, day=LATER):
    return measure_backdrop(picture(light), day)


def found(light, reference=PLAIN):
    return {finding.name: finding for finding in compare(seen(reference, DAY), seen(light))}


def test_the_lightness_of_an_18_percent_grey_is_the_published_one():
    """L* 49.5 for Y = 0.18: ISO/CIE 11664-4, 116 * 0.18 ** (1/3) - 16 = 49.496."""
    assert luminance_of_lightness(49.496) == pytest.approx(0.18, abs=1e-4)
    lightness, *colour = seen(np.full((HEIGHT, WIDTH, 3), 0.18)).cells[0][0]
    assert lightness == pytest.approx(49.5, abs=0.2)
    assert colour == pytest.approx([0, 0], abs=0.2)


def test_the_fall_off_of_a_lens_is_that_of_the_cosine_to_the_fourth():
    """Natural vignetting, E = E0 cos^4 (any optics text), for a lens 1.2 diagonals before the picture."""
    radius = np.hypot(X - 0.5, (Y - 0.5) * HEIGHT / WIDTH)
    share = np.cos(np.arctan(radius / (1.2 * np.hypot(1, HEIGHT / WIDTH)))) ** 4
    cells = share.reshape(ROWS, HEIGHT // ROWS, COLUMNS, WIDTH // COLUMNS).mean(axis=(1, 3))
    stops = np.array(seen(0.8 * share[..., None] * np.ones(3)).stops())
    np.testing.assert_allclose(stops, np.log2(cells / cells.max()), atol=0.02)


def test_what_has_not_changed_is_told_as_good():
    assert [(name, finding.good) for name, finding in found(PLAIN).items()] == [
        ("backdrop_level", True),
        ("backdrop_pattern", True),
        ("backdrop_colour", True),
    ]


@pytest.mark.parametrize(("factor", "word"), [(0.5, "1.00 stops darker"), (2**0.5, "0.50 stops brighter")])
def test_a_change_of_exposure_is_a_level_in_stops_and_nothing_else(factor, word):
    told = found(PLAIN * factor)
    assert word in told["backdrop_level"].sentence
    assert [name for name, finding in told.items() if not finding.good] == ["backdrop_level"]
    assert told["backdrop_level"].value == pytest.approx(np.log2(factor), abs=0.02)


def test_a_lamp_that_fails_on_one_side_is_told_with_its_place():
    left, right = 0.25 * 2 ** (-2 * X), 0.25 * 2 ** (-2 * (1 - X))
    told = found(left[..., None] * np.ones(3), (left + right)[..., None] * np.ones(3))
    assert not told["backdrop_pattern"].good
    assert "stops darker at the" in told["backdrop_pattern"].sentence
    assert "right than on 2026-03-01" in told["backdrop_pattern"].sentence


def test_a_stain_is_told_with_its_place():
    stained = PLAIN.copy()
    stained[-200:-100, 80:160] *= 0.8
    told = found(stained)
    assert [name for name, finding in told.items() if not finding.good] == ["backdrop_pattern"]
    assert "at the bottom left" in told["backdrop_pattern"].sentence
    assert told["backdrop_pattern"].value == pytest.approx(np.log2(0.8), abs=0.03)


@pytest.mark.parametrize(
    ("channels", "word"),
    [((1.15, 1.0, 0.8), "yellow"), ((0.9, 1.0, 1.2), "blue"), ((1.0, 1.1, 1.0), "green"), ((1.2, 0.95, 1.0), "red")],
)
def test_another_colour_of_light_is_told_by_its_name(channels, word):
    told = found(PLAIN * channels)
    assert not told["backdrop_colour"].good
    assert f"towards {word} since" in told["backdrop_colour"].sentence


def test_a_darker_picture_of_a_coloured_backdrop_has_not_changed_its_colour():
    blue = PLAIN * (0.5, 0.7, 1.0)
    assert found(0.6 * blue, blue)["backdrop_colour"].good


def test_a_sitter_before_the_backdrop_is_no_backdrop(tmp_path):
    rgb = cv2.cvtColor(cv2.imread(str(sitter_pictures(tmp_path)[0])), cv2.COLOR_BGR2RGB)
    (finding,) = compare(seen(PLAIN, DAY), measure_backdrop(rgb, LATER))
    assert not finding.good
    assert finding.sentence == "The picture does not show an empty backdrop."
    assert suitable(measure_backdrop(rgb, LATER)) == (finding,)


def test_a_reference_is_empty_even_and_not_burnt_out():
    assert all(finding.good for finding in suitable(seen(PLAIN)))
    dark = {finding.name: finding for finding in suitable(seen(PLAIN * 2 ** (-X[..., None])))}
    assert not dark["backdrop_fall_off"].good
    assert "right than at its brightest" in dark["backdrop_fall_off"].sentence
    burnt = {finding.name: finding for finding in suitable(seen(np.ones((HEIGHT, WIDTH, 3))))}
    assert not burnt["backdrop_brightest"].good


def test_the_day_of_the_reference_is_named():
    later = replace(seen(PLAIN), taken_on=date(2027, 1, 2))
    assert "2027-01-02" in compare(later, seen(PLAIN))[0].sentence
