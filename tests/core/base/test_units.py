"""Lengths against worked figures: the international inch, PWG 5101.1 media at printer resolutions."""

import pytest

from kiosk.core.base.units import mm_from_inches, mm_from_px, points_from_mm, px_from_mm

PUBLISHED_PX = [
    # 1 in = 25.4 mm exactly (international yard and pound agreement, 1959); the divisions were done by hand.
    (50.8, 300, 600.0),
    (35.0, 300, 413.3858),
    (45.0, 600, 1062.9921),
    (101.6, 300, 1200.0),  # na_index-4x6_4x6in, PWG 5101.1
    (148.0, 300, 1748.0315),  # jpn_hagaki_100x148mm, PWG 5101.1
]


@pytest.mark.parametrize(("length_mm", "dpi", "length_px"), PUBLISHED_PX)
def test_millimetres_become_pixels(length_mm, dpi, length_px):
    assert px_from_mm(length_mm, dpi) == pytest.approx(length_px, abs=5e-5)
    assert mm_from_px(px_from_mm(length_mm, dpi), dpi) == pytest.approx(length_mm)


def test_a_pdf_point_is_a_72nd_of_an_inch():
    assert points_from_mm(210.0) == pytest.approx(595.2756, abs=5e-5)  # ISO A4 width as every PDF writer gives it
    assert points_from_mm(mm_from_inches(4)) == pytest.approx(288.0)


def test_rounding_once_is_not_rounding_twice():
    assert round(px_from_mm(100.0, 300)) == 1181
    assert 2 * round(px_from_mm(50.0, 300)) == 1182
