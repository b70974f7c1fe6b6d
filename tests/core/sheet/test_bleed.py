"""Where a photo may go on beyond its trim."""

import pytest

from kiosk.core.base.geometry import Rect, Size
from kiosk.core.sheet.bleed import NO_EDGES, Edges, open_sides, reach_mm
from kiosk.core.sheet.imposition import Margins, Sheet, impose
from kiosk.core.sheet.media import medium

PASSPORT = Size(35.0, 45.0)
BLEED = Size(0.508, 0.508)


def laid(paper: str, margin: float, gutter: float, count: int | None = None) -> Sheet:
    return impose(medium(paper), PASSPORT, Margins(*[margin] * 4), gutter, count)


def test_a_photo_with_room_all_around_bleeds_on_every_side() -> None:
    assert open_sides(laid("4x6in", 3, 2, 1), [BLEED]) == (Edges(1, 1, 1, 1),)


def test_a_full_sheet_bleeds_into_its_gutters_and_not_beyond_the_printable_area() -> None:
    """4 x 6 in less 3 mm all around: four turned photos and their gutters take 146 of 146.4 mm, by hand."""
    for place, sides in zip((sheet := laid("4x6in", 3, 2)).photos, open_sides(sheet, [BLEED]), strict=True):
        assert place.turned
        is_first, is_last = place.y_mm < 10, place.rect_mm.bottom > 140
        assert sides == Edges(1, 0 if is_first else 1, 1, 0 if is_last else 1)


@pytest.mark.parametrize("gutter", [0.0, 1.0, 1.4])
def test_a_narrow_gutter_stays_white(gutter: float) -> None:
    """Two bleeds and the white between them take 1.516 mm."""
    for place, sides in zip((sheet := laid("4x6in", 3, gutter)).photos, open_sides(sheet, [BLEED]), strict=True):
        assert (sides.top, sides.bottom) == (0, 0) or place.y_mm < 10 or place.rect_mm.bottom > 140


def test_where_no_mark_shows_the_trim_there_is_no_bleed() -> None:
    sheet = laid("4x6in", 3, 2, 1)
    unmarked = Sheet(sheet.medium, sheet.printable_mm, sheet.photos, (), sheet.strokes)
    assert open_sides(unmarked, [BLEED]) == (NO_EDGES,)


def test_a_turned_photo_bleeds_with_its_own_edges() -> None:
    """Its top lies to the right: 7 px there, of 35 mm over 100 px each."""
    reach = reach_mm(Rect(0, 0, 45, 35), 100, 150, Edges(1, 7, 2, 3), turned=True)
    assert reach == pytest.approx((3 * 45 / 150, 1 * 35 / 100, 7 * 45 / 150, 2 * 35 / 100))
