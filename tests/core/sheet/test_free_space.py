"""Where words find room on a sheet."""

from kiosk.core.base.geometry import Rect, Size
from kiosk.core.sheet.free_space import free_rects, room_for

AREA = Rect(0, 0, 100, 80)


def test_an_empty_area_is_one_rectangle() -> None:
    assert free_rects(AREA, []) == [AREA]


def test_round_a_photo_lie_four_overlapping_rectangles() -> None:
    free = free_rects(AREA, [Rect(20, 30, 40, 20)])
    assert free == [Rect(60, 0, 40, 80), Rect(0, 0, 100, 30), Rect(0, 50, 100, 30), Rect(0, 0, 20, 80)]


def test_what_reaches_beyond_the_area_takes_only_its_part() -> None:
    assert free_rects(AREA, [Rect(-10, -10, 60, 200)]) == [Rect(50, 0, 50, 80)]


def test_a_line_parts_the_room_it_crosses() -> None:
    assert free_rects(AREA, [Rect(0, 30, 100, 0)]) == [Rect(0, 30, 100, 50), Rect(0, 0, 100, 30)]


def test_a_full_area_has_no_room() -> None:
    assert free_rects(AREA, [AREA]) == []
    assert room_for(Size(1, 1), []) is None


def test_words_lie_in_the_middle_and_turn_where_they_must() -> None:
    tall = Rect(10, 0, 10, 80)
    assert room_for(Size(8, 40), [tall]) == (Rect(11, 20, 8, 40), False)
    assert room_for(Size(40, 8), [tall]) == (Rect(11, 20, 8, 40), True)
    assert room_for(Size(40, 12), [tall]) is None
