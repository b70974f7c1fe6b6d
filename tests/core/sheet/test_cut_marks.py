"""Strokes and marks. A photo with its own four edges needs four strokes unless it shares them."""

from itertools import combinations

import pytest

from kiosk.core.base.geometry import Rect, Size
from kiosk.core.sheet.cut_marks import AMBIGUOUS_MM, MARK_CLEARANCE_MM, Segment, cut_marks, strokes
from kiosk.core.sheet.imposition import Margins, impose
from kiosk.core.sheet.media import medium

PAGE = Rect(0, 0, 100, 100)


def test_one_photo_takes_four_strokes_and_eight_marks() -> None:
    photo = Rect(30, 20, 35, 45)
    cuts = strokes(PAGE, [photo])
    assert cuts[:2] == (Segment(30, 0, 30, 100), Segment(65, 0, 65, 100))
    assert cuts[2:] == (Segment(30, 20, 65, 20), Segment(30, 65, 65, 65))
    assert set(cut_marks(PAGE, [photo])) == {
        *(Segment(x, 14.5, x, 19.5) for x in (30, 65)),
        *(Segment(x, 65.5, x, 70.5) for x in (30, 65)),
        *(Segment(24.5, y, 29.5, y) for y in (20, 65)),
        *(Segment(65.5, y, 70.5, y) for y in (20, 65)),
    }


def test_photos_that_touch_share_a_stroke() -> None:
    assert len(strokes(PAGE, [Rect(10, 10, 35, 45), Rect(45, 10, 35, 45)])) == 2 + 3


def test_a_grid_takes_the_fewer_lines_first() -> None:
    sheet = impose(medium("4x6in"), Size(35, 45), Margins(), 2)
    columns, rows = 2, 4
    assert len(sheet.strokes) == 2 * columns + 2 * columns * rows
    assert all(cut.x0_mm == cut.x1_mm for cut in sheet.strokes[:2])


def test_of_two_grids_for_four_photos_the_one_with_fewer_strokes_is_laid() -> None:
    assert len(impose(medium("4x6in"), Size(35, 45), Margins(), 2, count=4).strokes) == 2 + 2 * 4


def test_photos_that_no_straight_stroke_parts_are_an_error() -> None:
    pinwheel = [Rect(0, 0, 60, 40), Rect(60, 0, 40, 60), Rect(40, 60, 60, 40), Rect(0, 40, 40, 60)]
    with pytest.raises(ValueError, match="no straight stroke"):
        strokes(PAGE, pinwheel)


def test_without_room_at_the_ends_marks_move_into_the_first_gutter() -> None:
    upper, lower = Rect(10, 0, 80, 49), Rect(10, 51, 80, 49)
    upright = [mark for mark in cut_marks(PAGE, [upper, lower]) if mark.x0_mm == mark.x1_mm]
    gutter = (49 + MARK_CLEARANCE_MM, 51 - MARK_CLEARANCE_MM)
    assert {(mark.x0_mm, mark.y0_mm, mark.y1_mm) for mark in upright} == {(10, *gutter), (90, *gutter)}


def test_without_any_waste_there_are_no_marks() -> None:
    assert impose(medium("4x6in"), Size(50.8, 50.8), Margins(0, 0, 0, 0), 0).marks == ()


def test_a_mark_keeps_off_a_neighbour_that_lies_across_its_line() -> None:
    narrow, wide = Rect(20, 10, 30, 30), Rect(10, 42, 60, 30)
    for mark in cut_marks(PAGE, [narrow, wide]):
        for photo in (narrow, wide):
            kept = photo.inset(*[-MARK_CLEARANCE_MM + 1e-9] * 4)
            assert not (
                mark.x0_mm < kept.right and mark.x1_mm > kept.x and mark.y0_mm < kept.bottom and mark.y1_mm > kept.y
            )
    assert Segment(50, 40.5, 50, 41.5) in cut_marks(PAGE, [narrow, wide])


def test_two_blocks_whose_edges_nearly_meet_leave_their_gutter_free_of_marks() -> None:
    """Edges at x = 20 and x = 20.8; each block has a gutter of its own, 2 mm high, between its two rows."""
    upper = [Rect(20, 10, 25, 10), Rect(20, 22, 25, 10)]
    lower = [Rect(20.8, 34, 25, 10), Rect(20.8, 46, 25, 10)]
    marks = [mark for mark in cut_marks(PAGE, upper + lower) if mark.x0_mm == mark.x1_mm]
    between = [mark for mark in marks if mark.y0_mm >= 32 and mark.y1_mm <= 34]
    assert between == []
    for x in (20, 45, 20.8, 45.8):
        assert len([mark for mark in marks if mark.x0_mm == x]) == 2


@pytest.mark.parametrize(("paper", "photo"), [("5x7in", Size(25, 32)), ("4x6in", Size(25, 35)), ("a5", Size(35, 45))])
def test_no_two_marks_stand_so_close_that_one_is_taken_for_the_other(paper: str, photo: Size) -> None:
    """These sheets mix upright and turned photos, whose edges came as close as 0.8 mm."""
    sheet = impose(medium(paper), photo, Margins())
    for upright in (True, False):
        marks = [mark if upright else mark.swapped() for mark in sheet.marks]
        lines = [mark for mark in marks if mark.x0_mm == mark.x1_mm]
        for one, other in combinations(lines, 2):
            beside = min(one.y1_mm, other.y1_mm) > max(one.y0_mm, other.y0_mm)
            assert not (beside and 0.001 < abs(one.x0_mm - other.x0_mm) < AMBIGUOUS_MM)
