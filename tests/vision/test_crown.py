"""The crown as arithmetic: what face and hair say of it, and with which uncertainty."""

from __future__ import annotations

import numpy as np
import pytest

from kiosk.vision.head import crown
from kiosk.vision.head.crown import FROM_FACE_SD, crown_height
from kiosk.vision.head.hair import Hair

FLAT_BULGE, FLAT = crown.BULGE[2], crown.THICKNESS[2]
"""An outline that rounds off as over flat hair, and the thickness of that."""


def hair(top: float, bulge: float = 0.0, bare: float = 0.0, fall: float = 0.8) -> Hair:
    return Hair(top, 0.0, 0.0, bulge, fall, bare)


def test_a_bare_scalp_is_the_crown() -> None:
    found = crown_height(1.24, hair(1.30, bare=1.0))
    assert found.value == pytest.approx(1.30, abs=0.01)
    assert found.sd < 0.03


def test_without_hair_in_sight_the_face_speaks_alone() -> None:
    found = crown_height(1.24, None)
    assert (found.value, found.sd) == (1.24, FROM_FACE_SD)


def test_flat_hair_lies_its_thickness_above_the_crown() -> None:
    found = crown_height(1.25, hair(1.25 + FLAT, bulge=FLAT_BULGE))
    assert found.value == pytest.approx(1.25, abs=0.02)
    assert found.sd < 0.06


def test_the_wider_the_outline_stays_the_thicker_is_the_hair() -> None:
    crowns = [crown_height(1.2, hair(1.5, bulge=bulge)).value for bulge in (-0.3, -0.1, 0.0, 0.1, 0.2, 0.4)]
    assert crowns == sorted(crowns, reverse=True)
    assert crowns[0] - crowns[-1] > 0.15


def test_a_bun_on_flat_hair_is_no_thickness() -> None:
    """The same head with and without a bun of half the height of its forehead."""
    without = crown_height(1.25, hair(1.25 + FLAT, bulge=FLAT_BULGE))
    with_bun = crown_height(1.25, Hair(1.25 + FLAT + 0.5, 0.0, 0.0, FLAT_BULGE, 0.8, 0.0, knot=0.5))
    assert (with_bun.value, with_bun.sd) == pytest.approx((without.value, without.sd))


def test_big_hair_leaves_the_crown_to_the_face_and_says_so() -> None:
    found = crown_height(1.25, hair(2.2, bulge=0.6))
    assert found.value == pytest.approx(1.25, abs=0.1)
    assert found.sd > 0.07


def test_hair_that_falls_lies_flat_and_hair_that_bulges_without_falling_stands() -> None:
    """The same outline above, for a face that leaves both open: only the hair beside the jaw tells them apart."""
    fallen, standing = (crown_height(1.2, hair(1.55, bulge=0.3, fall=fall)).value for fall in (1.4, 0.8))
    assert fallen == pytest.approx(1.55 - crown.FALLEN, abs=0.1)
    assert standing < 1.2


def test_the_uncertainty_grows_when_face_and_hair_disagree() -> None:
    """About hair that may fall or stand, the face decides; a face between the two leaves it open."""
    high, low, between = (crown_height(face, hair(1.9, bulge=0.6, fall=1.1)).sd for face in (1.75, 1.0, 1.45))
    assert between > 1.5 * max(high, low)


def test_the_crown_never_rises_above_the_hair() -> None:
    for top in np.linspace(0.9, 2.4, 16):
        assert crown_height(1.25, hair(float(top), bulge=0.2)).value <= top + 0.02
