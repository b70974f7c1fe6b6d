"""Scales against closed forms, and the counter-move against the printer that it is to undo."""

import math
import re
from dataclasses import replace
from datetime import date, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from kiosk.core.base.geometry import Point, Rect, Size
from kiosk.core.print_scale.proof import (
    DUE_DAYS,
    LARGEST_ERROR,
    STALE_DAYS,
    Proof,
    RulerPage,
    drift,
    is_due,
    next_page,
    prove,
    refusal,
)
from kiosk.core.print_scale.ruler import Ruler, scale_of_readings
from kiosk.core.print_scale.scale import Axis, Scale, fit_marks, ruler_axis
from kiosk.errors import UnreadableRuler

PAGE = Size(101.6, 152.4)
RULER = Ruler(PAGE, Rect(5.8, 6.2, 90.0, 140.0))
TODAY = date(2026, 11, 25)

scales = st.floats(0.96, 1.04)
offsets = st.floats(-3.0, 3.0)
axes = st.builds(Axis, scales, st.just(0.001), offsets, st.just(0.1))
places = st.builds(Point, st.floats(0, 101.6), st.floats(0, 152.4))


def printed(printer, sent):
    """Return where a printer puts what was sent to a place: the definition of its scale."""
    return Point(
        PAGE.width / 2 + printer.x.scale * (sent.x - PAGE.width / 2) + printer.x.offset_mm,
        PAGE.height / 2 + printer.y.scale * (sent.y - PAGE.height / 2) + printer.y.offset_mm,
    )


@given(st.builds(Scale, axes, axes), places)
def test_what_is_countered_comes_out_where_it_was_wanted(printer, wanted):
    out = printed(printer, printer.counter(PAGE).apply(wanted))
    assert math.hypot(out.x - wanted.x, out.y - wanted.y) < 1e-9


@given(st.builds(Scale, axes, axes), st.builds(Scale, axes, axes), places)
def test_two_scales_in_a_row_are_one(sent, found, place):
    whole = sent.after(found)
    twice, once = printed(found, printed(sent, place)), printed(whole, place)
    assert math.hypot(twice.x - once.x, twice.y - once.y) < 1e-9


@given(scales, scales, st.floats(-180, 180), offsets)
def test_marks_seen_turned_and_shifted_give_back_the_scale(x, y, turn_deg, shift):
    turn = math.radians(turn_deg)
    seen = []
    for mark in RULER.marks:
        across, down = x * mark.x, y * mark.y
        seen.append(
            Point(
                across * math.cos(turn) - down * math.sin(turn) + shift, across * math.sin(turn) + down * math.cos(turn)
            )
        )
    found = fit_marks(RULER.marks, seen)
    assert found.x.scale == pytest.approx(x, abs=1e-9)
    assert found.y.scale == pytest.approx(y, abs=1e-9)
    assert found.error < abs(x - 1) + abs(y - 1) + 1e-6


def test_the_uncertainty_of_a_fit_is_that_of_ordinary_least_squares():
    # A known answer: four corners of a square of side 2 about the middle, one pulled out by 0.4 along x.
    square = [Point(-1, -1), Point(1, -1), Point(-1, 1), Point(1, 1)]
    seen = [*square[:3], Point(1.4, 1)]
    found = fit_marks(square, seen)
    # slope b = sum(x x') / sum(x^2) = 4.4 / 4; residuals of 0.1 each, 4 of them, over 8 - 6 degrees of freedom, over 4.
    assert found.x.scale == pytest.approx(math.hypot(1.1, 0))
    assert found.x.scale_uncertainty == pytest.approx(math.sqrt(4 * 0.1**2 / 2 / 4))


@pytest.mark.parametrize("count", [3, 12])
def test_too_few_marks_or_marks_on_a_line_are_refused(count):
    line = [Point(float(i), 2.0 * i) for i in range(count)]
    with pytest.raises(ValueError, match=r"marks"):
        fit_marks(line, line)


def test_a_ruler_reading_gives_scale_and_offset_with_their_uncertainty():
    axis = ruler_axis(90.0, 91.35, start_mm=5.8, edge_mm=5.3, side_mm=101.6)
    assert axis.scale == pytest.approx(1.015)
    assert axis.scale_uncertainty == pytest.approx(math.sqrt(2) * 0.1 / 90)
    assert 50.8 + 1.015 * (5.8 - 50.8) + axis.offset_mm == pytest.approx(5.3)


@pytest.mark.parametrize(
    ("readings", "words"),
    [
        ([90.0], "two readings"),
        ([90.0, 140.0, 5.8], "two readings"),
        ([3.54, 5.51], "no printer makes the rule across 3.54 mm long"),
        ([140.0, 90.0], "makes the rule across 140 mm long"),
        ([90.0, math.nan], "no printer makes the rule down"),
        ([90.0, math.inf], "no printer makes the rule down"),
        ([-90.0, 140.0], "across"),
        ([90.0, 140.0, 45.0, 6.2], "begin 45 mm from the edge"),
    ],
)
def test_impossible_readings_are_refused_with_the_numbers_read_and_without_the_true_ones(readings, words):
    with pytest.raises(UnreadableRuler, match=words) as refused:
        scale_of_readings(RULER, readings)
    said = {float(number) for number in re.findall(r"-?\d+(?:\.\d+)?", str(refused.value))}
    assert said <= set(readings)


@pytest.mark.parametrize("longest", [Rect(0, 0, 20.0, 20.0), Rect(0, 0, 90.0, 140.0), Rect(0, 0, 200.0, 280.0)])
def test_no_page_has_rules_that_a_true_reading_of_one_of_the_last_five_would_fit(longest):
    for number in range(400):
        page = Ruler(PAGE, longest, number)
        for before in range(max(0, number - 5), number):
            other = Ruler(PAGE, longest, before)
            for own, copied in ((page.across_mm, other.across_mm), (page.down_mm, other.down_mm)):
                assert abs(copied / own - 1) > LARGEST_ERROR


def test_the_rules_of_a_page_stay_within_its_marks_and_are_read_to_their_length():
    for number in range(50):
        page = Ruler(PAGE, RULER.frame_mm, number)
        assert 0.87 * 90.0 < page.across_mm <= 90.0
        assert 0.87 * 140.0 < page.down_mm <= 140.0
        assert scale_of_readings(page, [1.01 * page.across_mm, page.down_mm]).x.scale == pytest.approx(1.01)


TRUE = Axis()


def proof(x=TRUE, y=TRUE, day=TODAY):
    return Proof(Scale(x, y), Scale(x, y), "set-up", day)


def test_only_a_fresh_proof_of_this_set_up_within_half_a_percent_lets_documents_be_printed():
    assert refusal(None, "set-up", TODAY) == "its scale was never measured"
    assert refusal(proof(), "set-up", TODAY) == ""
    assert "changed since" in refusal(proof(), "another", TODAY)
    assert refusal(proof(x=Axis(1.0039, 0.001)), "set-up", TODAY) == ""
    assert "width was +0.41 % off (± 0.10 %)" in refusal(proof(x=Axis(1.0041, 0.001)), "set-up", TODAY)
    assert "height was -0.60 % off" in refusal(proof(y=Axis(0.994)), "set-up", TODAY)
    assert "width" in refusal(proof(x=Axis(math.nan)), "set-up", TODAY)


def test_a_proof_is_due_then_ends_and_one_from_the_future_is_none():
    old = proof(day=TODAY - timedelta(days=DUE_DAYS))
    assert is_due(old, TODAY)
    assert not is_due(old, TODAY - timedelta(days=1))
    assert old.ends_on - old.measured_on == timedelta(days=STALE_DAYS)
    assert refusal(old, "set-up", old.ends_on) == ""
    assert "days ago" in refusal(old, "set-up", old.ends_on + timedelta(days=1))
    assert "after today" in refusal(proof(day=TODAY + timedelta(days=1)), "set-up", TODAY)


def test_an_old_page_that_is_measured_again_proves_nothing_new():
    old = next_page(None, None, RULER, "set-up", TODAY - timedelta(days=STALE_DAYS + 1))
    assert "days ago" in refusal(prove(old, Scale(Axis(1.0), Axis(1.0))), "set-up", TODAY)


def test_a_page_measured_twice_gives_the_same_scale_and_a_second_page_what_is_left():
    first = next_page(None, None, RULER, "set-up", TODAY)
    assert (first.number, first.sent) == (1, Scale())
    found = Scale(Axis(1.015), Axis(0.99))
    proven = prove(first, found)
    assert prove(first, found) == proven
    second = next_page(proven, first, RULER, "set-up", TODAY)
    assert (second.number, second.sent) == (2, proven.whole)
    left = prove(second, Scale(Axis(1.001), Axis(1.0)))
    assert refusal(left, "set-up", TODAY) == ""
    assert left.whole.x.scale == pytest.approx(1.015 * 1.001)
    assert drift(proven, left) == pytest.approx(0.001)
    assert next_page(left, second, RULER, "changed", TODAY) == RulerPage(
        3, replace(RULER, number=3), Scale(), "changed", TODAY
    )
