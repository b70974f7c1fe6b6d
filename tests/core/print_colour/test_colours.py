"""Colours on paper against published values and other programs' arithmetic."""

import json
from pathlib import Path

import numpy as np
import pytest
import skimage.color

from kiosk.core.print_colour.chart import SAMPLES, SKINS, WEDGE_L, code_of_lab, code_of_lightness
from kiosk.core.print_colour.colours import (
    D50_OF_LINEAR_RGB,
    LINEAR_RGB_OF_D50,
    difference,
    lab_of_xyz,
    light_of_code,
    light_of_xyz,
    xyz_of_lab,
    xyz_of_light,
)

CIE = json.loads((Path(__file__).parents[2] / "data" / "cie_13_3.json").read_text())
PUBLISHED_PAIRS = [
    ((50.0, 2.6772, -79.7751), (50.0, 0.0, -82.7485), 2.0425),
    ((50.0, 3.1571, -77.2803), (50.0, 0.0, -82.7485), 2.8615),
    ((50.0, -1.3802, -84.2814), (50.0, 0.0, -82.7485), 1.0000),
    ((50.0, 0.0, 0.0), (50.0, -1.0, 2.0), 2.3669),
    ((50.0, 2.49, -0.001), (50.0, -2.49, 0.0009), 7.1792),
    ((50.0, 2.49, -0.001), (50.0, -2.49, 0.0011), 7.2195),
    ((50.0, 2.5, 0.0), (50.0, 0.0, -2.5), 4.3065),
    ((50.0, 2.5, 0.0), (73.0, 25.0, -18.0), 27.1492),
    ((60.2574, -34.0099, 36.2677), (60.4626, -34.1751, 39.4387), 1.2644),
    ((22.7233, 20.0904, -46.6940), (23.0331, 14.9730, -42.5619), 2.0373),
    ((2.0776, 0.0795, -1.1350), (0.9033, -0.0636, -0.5514), 0.9082),
]
"""Pairs of Sharma, Wu and Dalal, "The CIEDE2000 color-difference formula" (2005), table 1; from memory, confirmed by
scikit-image below."""


@pytest.mark.parametrize(("one", "other", "published"), PUBLISHED_PAIRS)
def test_the_difference_is_the_published_one(one, other, published):
    assert difference(one, other) == pytest.approx(published, abs=5e-5)
    assert difference(other, one) == pytest.approx(published, abs=5e-5)


def test_the_difference_is_that_of_scikit_image_for_any_colours():
    random = np.random.default_rng(4)
    pairs = random.uniform((0, -90, -90), (100, 90, 90), (2, 400, 3))
    theirs = skimage.color.deltaE_ciede2000(pairs[0], pairs[1])
    ours = [difference(tuple(one), tuple(other)) for one, other in zip(*pairs, strict=True)]
    assert ours == pytest.approx(theirs, abs=1e-6)
    assert difference((40.0, 0.0, 0.0), (40.0, 0.0, 0.0)) == 0


def test_both_matrices_undo_each_other_and_lab_goes_there_and_back():
    assert np.allclose(np.array(D50_OF_LINEAR_RGB) @ np.array(LINEAR_RGB_OF_D50), np.eye(3), atol=1e-6)
    for code in [*SKINS, (0, 0, 0), (255, 255, 255), (3, 200, 90)]:
        xyz = xyz_of_light(light_of_code(code))
        assert xyz_of_lab(lab_of_xyz(xyz)) == pytest.approx(xyz, abs=1e-9)
        assert light_of_xyz(xyz) == pytest.approx(light_of_code(code), abs=2e-6)
    assert lab_of_xyz(xyz_of_light((1.0, 1.0, 1.0))) == pytest.approx((100, 0, 0), abs=1e-9)


def test_the_samples_are_those_of_the_published_reflectances_under_d50():
    """CIE 13.3-1995, table 1; ISO/CIE 11664-1 observer and 11664-2 D50, as in colour-science 0.4, at 5 nm."""
    observer, light = np.array(CIE["observer"]), np.array(CIE["d50"])
    scale = 1 / (light * observer[:, 1]).sum()
    white = scale * light @ observer
    for lab, name in zip(SAMPLES, CIE["samples"], strict=True):
        xyz = scale * (light * np.array(CIE["samples"][name])) @ observer
        assert lab == pytest.approx(lab_of_xyz(tuple(xyz / white)), abs=0.006)


def test_every_patch_is_inside_srgb_and_within_half_a_code_of_its_aim():
    for lab in SAMPLES:
        light = light_of_xyz(xyz_of_lab(lab))
        assert 0 < min(light) < max(light) < 1
        assert difference(lab, lab_of_xyz(xyz_of_light(light_of_code(code_of_lab(lab))))) < 0.4
    greys = [code_of_lightness(lightness)[0] for lightness in WEDGE_L]
    assert greys == sorted(greys, reverse=True)
    assert greys[-1] == 0
