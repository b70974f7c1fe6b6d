"""Every document's limits, and the heads that fit them.

A head that the limits leave room for gets a crop that meets them all; any other is proven to fit nowhere by an
independent solver (SciPy's HiGHS linear programme).
"""

from dataclasses import replace

import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st
from scipy.optimize import linprog

from kiosk.core.base.geometry import Point, Range
from kiosk.core.base.measurement import HeadPoints
from kiosk.core.document.head_fit import VerticalLimits, possible_chins_mm, possible_heads_mm
from kiosk.core.document.soundness import LEAST_ABOVE_EYES, MOST_ABOVE_EYES
from kiosk.core.judging.crop import plan_crop
from tests.support.shipped import CATALOGUE

DOCUMENTS = CATALOGUE.all()
WIDTH_PX, HEIGHT_PX = 6000, 8000
SLACK_MM = 1e-6

shares = st.floats(LEAST_ABOVE_EYES, MOST_ABOVE_EYES)


def fits_by_linear_programme(limits: VerticalLimits, least_above: float, most_above: float) -> bool:
    """Tell whether a head fits; unknowns: head height, chin above the lower edge, eyes above the chin."""
    frame_mm, anything = limits.frame_height_mm, Range(0.0, None)
    rows, bounds = [], []
    for row, constant, band in (
        ((1.0, 0.0, 0.0), 0.0, limits.head_height_mm),
        ((0.0, 1.0, 1.0), 0.0, limits.eye_line_mm),
        ((-1.0, -1.0, 0.0), frame_mm, limits.margin_above_mm),
        ((0.0, 1.0, 0.0), 0.0, limits.margin_below_mm),
        ((-1.0, -1.0, 0.0), frame_mm, anything),
        ((1.0 - least_above, 0.0, -1.0), 0.0, anything),
        ((most_above - 1.0, 0.0, 1.0), 0.0, anything),
    ):
        for end, sign in ((band.low, -1.0), (band.high, 1.0)):
            if end is not None:
                rows.append([sign * factor for factor in row])
                bounds.append(sign * (end - constant) + 1e-9)
    found = linprog([0.0, 0.0, 0.0], A_ub=rows, b_ub=bounds, bounds=[(0, None)] * 3, method="highs")
    return bool(found.status == 0)


bands = st.one_of(
    st.just(Range(None, None)),
    st.tuples(st.floats(0, 60), st.floats(0, 60)).map(lambda ends: Range(min(ends), max(ends))),
    st.floats(0, 60).map(lambda low: Range(low, None)),
    st.floats(0, 60).map(lambda high: Range(None, high)),
)
limits = st.builds(
    VerticalLimits,
    st.floats(20, 80),
    st.tuples(st.floats(5, 60), st.floats(5, 60)).map(lambda ends: Range(min(ends), max(ends))),
    bands,
    bands,
    bands,
)


@settings(deadline=None, max_examples=300)
@given(limits, shares, shares)
def test_possible_heads_agree_with_a_linear_programme(vertical, one, other):
    least, most = sorted((one, other))
    heads = possible_heads_mm(vertical, least, most)
    assume(heads.is_empty or heads.width is None or heads.width > SLACK_MM)
    if heads.is_empty:
        roomier = replace(vertical, frame_height_mm=vertical.frame_height_mm + 2 * SLACK_MM)
        assume(possible_heads_mm(roomier, least, most).is_empty)
    assert fits_by_linear_programme(vertical, least, most) is not heads.is_empty


@settings(deadline=None)
@given(limits, shares, st.floats(0, 1))
def test_the_chin_has_room_for_every_possible_head(vertical, above, where):
    heads = possible_heads_mm(vertical, above, above)
    assume(not heads.is_empty)
    head_mm = heads.low + where * (heads.high - heads.low)
    chins = possible_chins_mm(vertical, head_mm, above)
    assert chins.low <= chins.high + SLACK_MM
    chin_mm = chins.middle
    for value, band in (
        (chin_mm + (1 - above) * head_mm, vertical.eye_line_mm),
        (vertical.frame_height_mm - chin_mm - head_mm, vertical.margin_above_mm),
        (chin_mm, vertical.margin_below_mm),
        (chin_mm, Range(0.0, vertical.frame_height_mm - head_mm)),
    ):
        assert band.low is None or value >= band.low - SLACK_MM
        assert band.high is None or value <= band.high + SLACK_MM


@settings(deadline=None)
@given(limits, shares, shares)
def test_more_kinds_of_heads_never_leave_less_room(vertical, one, other):
    low, high = sorted((one, other))
    single, several = possible_heads_mm(vertical, one, one), possible_heads_mm(vertical, low, high)
    assert single.is_empty or (several.low <= single.low + SLACK_MM and several.high >= single.high - SLACK_MM)


def head_in_picture(height_px: float, above: float, hair: float) -> HeadPoints:
    """Return a head in the middle of a large picture; `hair` is its share above the crown."""
    crown_y = HEIGHT_PX / 2 - height_px / 2
    eye_y = crown_y + above * height_px
    return HeadPoints(
        crown=Point(WIDTH_PX / 2, crown_y),
        hair_top=Point(WIDTH_PX / 2, crown_y - hair * height_px),
        chin=Point(WIDTH_PX / 2, crown_y + height_px),
        right_eye=Point(WIDTH_PX / 2 - 0.14 * height_px, eye_y),
        left_eye=Point(WIDTH_PX / 2 + 0.14 * height_px, eye_y),
    )


@pytest.mark.parametrize("document", DOCUMENTS, ids=lambda document: document.id)
@settings(deadline=None, max_examples=40)
@given(st.floats(900, 1600), st.floats(0.42, 0.55), st.floats(0.0, 0.08))
def test_a_head_that_fits_gets_a_crop_that_meets_all_limits(document, height_px, above, hair):
    points = head_in_picture(height_px, above, hair)
    top_px = points.chin.y - points.top(document.head_top.value).y
    above_top = 1 - (points.chin.y - points.eye_centre.y) / top_px
    limits = document.vertical_limits
    heads = possible_heads_mm(limits, above_top, above_top)
    if heads.is_empty:
        assert not fits_by_linear_programme(limits, above_top, above_top)
        return
    assume(heads.width is None or heads.width > 1e-3)
    plan = plan_crop(points, document, WIDTH_PX, HEIGHT_PX)
    found = plan.measurements
    for name, value, band in (
        ("head_size", found["head_size"].value, document.head_height_mm),
        ("eye_line", found["eye_line"].value, document.eye_line_mm),
        ("margin_above", found["margin_above"].value, document.margin_above_mm),
        ("margin_below", document.frame_mm.height - plan.points_mm.chin.y, document.margin_below_mm),
        ("frame_room", found["frame_room"].value, Range(0.0, None)),
    ):
        if band is not None:
            assert band.low is None or value >= band.low - SLACK_MM, name
            assert band.high is None or value <= band.high + SLACK_MM, name
