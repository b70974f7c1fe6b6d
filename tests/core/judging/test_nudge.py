"""A nudge by hand moves the head on the print by what was asked, and names the sides that the picture lacks."""

from dataclasses import replace

import pytest

from kiosk.core.base.geometry import Rect
from kiosk.core.judging.conformance import judge
from kiosk.core.judging.nudge import FrameShift, lacking_mm, lacking_words, nudged
from tests.support.sights import DOCUMENT, conforming

SEEN = conforming(DOCUMENT)
PLAN = judge(SEEN, DOCUMENT).plan


def test_up_and_left_move_the_head_on_the_print() -> None:
    assert PLAN is not None
    moved = nudged(PLAN, SEEN, DOCUMENT, FrameShift(up_mm=1.5, left_mm=0.5))
    for before, after in (
        (PLAN.points_mm.chin, moved.points_mm.chin),
        (PLAN.points_mm.eye_centre, moved.points_mm.eye_centre),
    ):
        assert (after.x, after.y) == pytest.approx((before.x - 0.5, before.y - 1.5))


def test_the_head_gets_the_height_asked_and_the_eyes_stay() -> None:
    assert PLAN is not None
    resized = nudged(PLAN, SEEN, DOCUMENT, FrameShift(head_mm=30.0))
    assert resized.measurements["head_size"].value == pytest.approx(30.0)
    assert resized.points_mm.chin.y - resized.points_mm.crown.y == pytest.approx(30.0)
    eyes = PLAN.points_mm.eye_centre
    assert (resized.points_mm.eye_centre.x, resized.points_mm.eye_centre.y) == pytest.approx((eyes.x, eyes.y))


def test_a_nudged_frame_is_judged_again() -> None:
    """The UK asks for a head of 29 to 34 mm (gov.uk)."""
    assert judge(SEEN, DOCUMENT).verdict == "pass"
    assert judge(SEEN, DOCUMENT, FrameShift(head_mm=40.0)).reasons[0] == "head_size"


@pytest.mark.parametrize(("up_mm", "name"), [(20.0, "margin_above"), (-20.0, "margin_below")])
def test_a_frame_that_cuts_the_head_off_fails_where_no_limit_says_so(up_mm: float, name: str) -> None:
    """The UK states neither an eye line nor margins; the planned frame has some 6 mm above and below the head."""
    assert DOCUMENT.margin_above is None
    assert DOCUMENT.margin_below is None
    assert name in judge(SEEN, DOCUMENT, FrameShift(up_mm=up_mm)).reasons


def test_the_sides_that_a_picture_lacks_are_named_with_their_lengths() -> None:
    assert PLAN is not None
    assert lacking_words(PLAN, DOCUMENT, SEEN.width_px, SEEN.height_px) == ""
    above_mm, left_mm = (length * PLAN.mm_per_px for length in (PLAN.rect_px.y, PLAN.rect_px.x))
    beyond = nudged(PLAN, SEEN, DOCUMENT, FrameShift(up_mm=-above_mm - 2.25, left_mm=-left_mm - 0.5))
    assert lacking_mm(beyond, SEEN.width_px, SEEN.height_px) == pytest.approx((0.5, 2.25, 0.0, 0.0))
    words = lacking_words(beyond, DOCUMENT, SEEN.width_px, SEEN.height_px)
    assert words == "the picture lacks 0.5 mm on the left and 2.2 mm at the top"


def test_several_sides_are_listed_as_a_person_would() -> None:
    assert PLAN is not None
    wide = replace(PLAN, rect_px=Rect(-100.0, -100.0, SEEN.width_px + 200.0, SEEN.height_px + 200.0))
    size = f"{100 * PLAN.mm_per_px:.1f} mm"
    assert lacking_words(wide, DOCUMENT, SEEN.width_px, SEEN.height_px) == (
        f"the picture lacks {size} on the left, {size} at the top, {size} on the right and {size} at the bottom"
    )


def test_a_file_to_upload_lacks_pixels_of_the_picture() -> None:
    assert PLAN is not None
    low = replace(PLAN, rect_px=replace(PLAN.rect_px, y=SEEN.height_px - PLAN.rect_px.height + 40.0))
    words = lacking_words(low, DOCUMENT.model_copy(update={"size": None}), SEEN.width_px, SEEN.height_px)
    assert words == "the picture lacks 40 px at the bottom"
