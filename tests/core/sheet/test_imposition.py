"""Imposition against known answers."""

import math
from functools import cache

import pytest

from kiosk.core.base.geometry import Size
from kiosk.core.sheet.imposition import Margins, Medium, Sheet, impose
from kiosk.core.sheet.media import MEDIA, medium
from kiosk.errors import SheetDoesNotFit

# How many a plain grid holds, photos all upright or all turned: (gutter 0, margin 0) and (gutter 2, margin 3), in mm.
PLAIN_GRID = {
    ("4x6in", 35, 45): (8, 8),
    ("4x6in", 50.8, 50.8): (6, 2),
    ("4x6in", 50, 70): (4, 2),
    ("5x7in", 35, 45): (10, 9),
    ("5x7in", 50.8, 50.8): (6, 6),
    ("5x7in", 50, 70): (4, 4),
    ("3.5x5in", 35, 45): (4, 4),
    ("3.5x5in", 50.8, 50.8): (2, 2),
    ("3.5x5in", 50, 70): (2, 2),
    ("10x15cm", 35, 45): (8, 6),
    ("10x15cm", 50.8, 50.8): (2, 2),
    ("10x15cm", 50, 70): (4, 2),
    ("13x18cm", 35, 45): (12, 9),
    ("13x18cm", 50.8, 50.8): (6, 6),
    ("13x18cm", 50, 70): (4, 4),
    ("hagaki", 35, 45): (8, 6),
    ("hagaki", 50.8, 50.8): (2, 2),
    ("hagaki", 50, 70): (4, 2),
}
CASES = [
    (paper, Size(width, height), gutter, margin, count)
    for (paper, width, height), counts in PLAIN_GRID.items()
    for gutter, margin, count in zip((0.0, 2.0), (0.0, 3.0), counts, strict=True)
]
PASSPORT = Size(35.0, 45.0)
PIXEL_MM = 25.4 / 300


def even(margin_mm: float) -> Margins:
    return Margins(margin_mm, margin_mm, margin_mm, margin_mm)


def columns_and_rows(sheet: Sheet) -> tuple[int, int]:
    return len({round(photo.x_mm, 6) for photo in sheet.photos}), len({round(photo.y_mm, 6) for photo in sheet.photos})


@pytest.mark.parametrize(("paper", "photo", "gutter", "margin", "count"), CASES)
def test_what_a_plain_grid_holds_is_laid_as_a_plain_grid(
    paper: str, photo: Size, gutter: float, margin: float, count: int
) -> None:
    sheet = impose(medium(paper), photo, even(margin), gutter, count)
    assert len(sheet.photos) == count
    assert math.prod(columns_and_rows(sheet)) == count
    assert len({place.turned for place in sheet.photos}) == 1


@pytest.mark.parametrize(("paper", "photo", "gutter", "margin", "count"), CASES)
def test_the_most_is_never_fewer_than_a_plain_grid(
    paper: str, photo: Size, gutter: float, margin: float, count: int
) -> None:
    assert len(impose(medium(paper), photo, even(margin), gutter).photos) >= count


def test_nine_on_five_by_seven_as_the_trade_lays_them_and_a_tenth_by_mixing() -> None:
    nine = impose(medium("5x7in"), PASSPORT, even(3), 2, count=9)
    assert columns_and_rows(nine) == (3, 3)
    assert not any(photo.turned for photo in nine.photos)
    ten = impose(medium("5x7in"), PASSPORT, even(3), 2)
    assert sorted(photo.turned for photo in ten.photos) == [False] * 6 + [True] * 4


def test_two_of_those_sheets_lie_on_a4() -> None:
    assert len(impose(medium("a4"), medium("5x7in").size_mm, even(3), 2).photos) == 2


def most_by_any_guillotine(width: int, height: int, across: int, down: int) -> int:
    """Return the most cells that any depth of guillotine cuts gives: dynamic programming over normal patterns.

    Lengths in tenths of a millimetre, gutters included; after Gilmore and Gomory 1965 and Herz 1972 (from memory).
    """

    def patterns(length: int) -> set[int]:
        return {
            one * across + other * down
            for one in range(length // across + 1)
            for other in range((length - one * across) // down + 1)
        }

    @cache
    def best(wide: int, high: int) -> int:
        most = max((wide // across) * (high // down), (wide // down) * (high // across))
        if most == wide * high // (across * down):
            return most
        for x in patterns(wide):
            if 0 < x < wide:
                most = max(most, best(x, high) + best(wide - x, high))
        for y in patterns(high):
            if 0 < y < high:
                most = max(most, best(wide, y) + best(wide, high - y))
        return most

    return best(width, height)


@pytest.mark.parametrize("photo", [(35, 45), (50.8, 50.8), (50, 70), (33, 48), (40, 60), (30, 40)])
@pytest.mark.parametrize(("gutter", "margin"), [(0.0, 0.0), (2.0, 3.0)])
def test_no_guillotine_layout_holds_more(photo: tuple[float, float], gutter: float, margin: float) -> None:
    for paper in MEDIA:
        cells = [round((side + gutter) * 10) for side in photo]
        room = [round((s - 2 * margin + gutter) * 10) for s in (paper.size_mm.width, paper.size_mm.height)]
        most = most_by_any_guillotine(*room, *cells)
        if most:
            assert len(impose(paper, Size(*photo), even(margin), gutter).photos) == most, paper.short


@pytest.mark.parametrize(
    ("paper", "margin", "count", "fit"), [("4x6in", 3.0, 9, 8), ("card", 3.0, 3, 2), ("4x6in", 60.0, 1, 0)]
)
def test_what_does_not_fit_is_refused_with_what_does(paper: str, margin: float, count: int, fit: int) -> None:
    with pytest.raises(SheetDoesNotFit) as refusal:
        impose(medium(paper), PASSPORT, even(margin), 2, count)
    assert refusal.value.params["fit"] == fit


def test_a_sheet_that_holds_none_is_refused_without_a_count_too() -> None:
    with pytest.raises(SheetDoesNotFit):
        impose(medium("card"), Size(100, 100), even(3))


@pytest.mark.parametrize(
    ("size", "margin", "gutter", "count"),
    [
        ((0, 45), 3, 2, None),
        ((35, math.nan), 3, 2, None),
        ((35, 45), 3, -1, None),
        ((35, 45), 3, math.nan, None),
        ((35, 45), -3, 2, None),
        ((35, 45), math.inf, 2, None),
        ((35, 45), 3, 2, 0),
    ],
)
def test_what_is_no_length_and_no_count_is_an_error(
    size: tuple[float, float], margin: float, gutter: float, count: int | None
) -> None:
    with pytest.raises(ValueError, match="give"):
        impose(medium("a4"), Size(*size), even(margin), gutter, count)


def test_inches_fill_their_paper_to_the_edge() -> None:
    sheet = impose(medium("4x6in"), Size(50.8, 50.8), even(0), 0)
    corners = [corner for photo in sheet.photos for corner in (photo.x_mm, photo.y_mm)]
    assert corners == pytest.approx([at for y in (0, 50.8, 101.6) for x in (0, 50.8) for at in (x, y)], abs=1e-9)


def test_uneven_margins_move_the_middle() -> None:
    sheet = impose(medium("4x6in"), PASSPORT, Margins(3, 3, 9, 20), 2, count=1)
    (photo,) = sheet.photos
    assert photo.rect_mm.centre.x == pytest.approx(3 + (101.6 - 12) / 2, abs=PIXEL_MM / 2)
    assert photo.rect_mm.centre.y == pytest.approx(3 + (152.4 - 23) / 2, abs=PIXEL_MM / 2)


@pytest.mark.parametrize(("paper", "count"), [("4x6in", 8), ("5x7in", 10), ("10x15cm", 6), ("a4", None)])
def test_photos_begin_on_whole_pixels_of_the_printer(paper: str, count: int | None) -> None:
    for photo in impose(medium(paper), PASSPORT, even(3), 2, count).photos:
        for start_mm in (photo.x_mm, photo.y_mm):
            assert start_mm / PIXEL_MM == pytest.approx(round(start_mm / PIXEL_MM), abs=1e-6)


def test_where_whole_pixels_leave_no_room_the_photos_go_without() -> None:
    tight = Medium("custom", "custom", Size(2 * 35 + 2 + 0.01, 45.01))
    sheet = impose(tight, PASSPORT, even(0), 2)
    assert len(sheet.photos) == 2
    assert sheet.photos[1].x_mm - sheet.photos[0].x_mm == pytest.approx(37.0, abs=1e-9)


def test_photos_without_a_gutter_touch() -> None:
    first, second = impose(medium("4x6in"), PASSPORT, even(3), 0, count=2).photos
    assert (first.rect_mm.right, first.y_mm) == pytest.approx((second.x_mm, second.y_mm), abs=1e-9) or (
        first.rect_mm.bottom,
        first.x_mm,
    ) == pytest.approx((second.y_mm, second.x_mm), abs=1e-9)
