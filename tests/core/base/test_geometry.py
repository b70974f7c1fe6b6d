"""Rectangles against skia's, an independent implementation."""

import skia
from hypothesis import given
from hypothesis import strategies as st

from kiosk.core.base.geometry import Rect

SIDES = st.integers(-100, 100)
RECTS = st.builds(Rect, SIDES, SIDES, st.integers(1, 100), st.integers(1, 100))


def skias(rect: Rect) -> skia.Rect:
    return skia.Rect.MakeXYWH(rect.x, rect.y, rect.width, rect.height)


@given(RECTS, RECTS)
def test_what_two_rectangles_have_in_common_and_what_holds_both(one, other):
    joined = skias(one)
    joined.join(skias(other))
    assert skias(one.around(other)) == joined
    common = skias(one)
    if common.intersect(skias(other)):
        assert skias(one.intersection(other)) == common


@given(RECTS, st.integers(0, 50))
def test_a_grown_rectangle_reaches_out_on_every_side(rect, by):
    assert skias(rect.grown(by)) == skias(rect).makeOutset(by, by)
