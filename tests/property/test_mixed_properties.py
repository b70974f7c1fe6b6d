"""What holds for every sheet of several photos, whatever their sizes and counts."""

from collections import Counter
from itertools import combinations

from hypothesis import given, settings
from hypothesis import strategies as st

from kiosk.core.base.geometry import Rect, Size
from kiosk.core.sheet.bleed import WHITE_MM, Edges, open_sides, shown_mm
from kiosk.core.sheet.cut_marks import MARK_CLEARANCE_MM
from kiosk.core.sheet.imposition import Margins, Medium, PhotoCopies, Sheet
from kiosk.core.sheet.mixed_imposition import impose_several
from kiosk.errors import PhotosDoNotFit, SheetDoesNotFit

SLACK_MM = 1e-6

unhurried = settings(deadline=None, max_examples=60)


def lengths(low_mm: float, high_mm: float) -> st.SearchStrategy[float]:
    return st.integers(round(low_mm * 100), round(high_mm * 100)).map(lambda hundredths: hundredths / 100)


media = st.builds(lambda w, h: Medium("custom", "custom", Size(w, h)), lengths(80, 220), lengths(80, 300))
orders = st.lists(
    st.builds(PhotoCopies, st.builds(Size, lengths(24, 60), lengths(24, 60)), st.integers(1, 4)), min_size=1, max_size=3
)
margins = st.builds(Margins, *[lengths(0, 9)] * 4)
gutters = st.sampled_from([0.0, 0.5, 1.0, 2.0, 3.3])


def laid(medium: Medium, wanted: list[PhotoCopies], edges: Margins, gutter: float) -> Sheet | None:
    try:
        return impose_several(medium, wanted, edges, gutter)
    except (SheetDoesNotFit, PhotosDoNotFit):
        return None


def grown(rect: Rect, by_mm: float) -> Rect:
    return rect.inset(-by_mm, -by_mm, -by_mm, -by_mm)


@unhurried
@given(media, orders, margins, gutters)
def test_each_order_gets_its_count_in_its_size_and_nothing_collides(
    medium: Medium, wanted: list[PhotoCopies], edges: Margins, gutter: float
) -> None:
    sheet = laid(medium, wanted, edges, gutter)
    if sheet is None:
        return
    assert Counter(place.item for place in sheet.photos) == {i: order.count for i, order in enumerate(wanted)}
    for place in sheet.photos:
        photo_mm = wanted[place.item].photo_mm
        assert Size(place.width_mm, place.height_mm) == (photo_mm.turned() if place.turned else photo_mm)
        assert sheet.printable_mm.contains(place.rect_mm, SLACK_MM)
    for one, other in combinations(sheet.photos, 2):
        assert not grown(one.rect_mm, gutter).overlaps(other.rect_mm, SLACK_MM)


@unhurried
@given(media, orders, margins, gutters)
def test_marks_lie_in_the_printable_waste_clear_of_every_photo(
    medium: Medium, wanted: list[PhotoCopies], edges: Margins, gutter: float
) -> None:
    sheet = laid(medium, wanted, edges, gutter)
    if sheet is None:
        return
    for mark in sheet.marks:
        assert sheet.printable_mm.contains(mark.rect_mm, SLACK_MM)
        for place in sheet.photos:
            assert not grown(mark.rect_mm, MARK_CLEARANCE_MM - SLACK_MM).overlaps(place.rect_mm, SLACK_MM)


@unhurried
@given(media, orders, margins, gutters)
def test_straight_strokes_free_every_photo_and_cut_none(
    medium: Medium, wanted: list[PhotoCopies], edges: Margins, gutter: float
) -> None:
    sheet = laid(medium, wanted, edges, gutter)
    if sheet is None:
        return
    pieces = [Rect(0.0, 0.0, medium.size_mm.width, medium.size_mm.height)]
    for stroke in sheet.strokes:
        line = stroke.rect_mm
        (piece,) = [p for p in pieces if p.contains(line, SLACK_MM) and p.overlaps(grown(line, 0.005), 1e-3)]
        pieces.remove(piece)
        if line.width == 0:
            assert abs(line.height - piece.height) < SLACK_MM
            pieces += [piece.inset(0, 0, piece.right - line.x, 0), piece.inset(line.x - piece.x, 0, 0, 0)]
        else:
            assert abs(line.width - piece.width) < SLACK_MM
            pieces += [piece.inset(0, 0, 0, piece.bottom - line.y), piece.inset(0, line.y - piece.y, 0, 0)]
    for place in sheet.photos:
        assert any(p.contains(place.rect_mm, 2e-3) and place.rect_mm.contains(p, 2e-3) for p in pieces)


@unhurried
@given(media, orders, margins, gutters)
def test_plain_grids_one_below_the_other_are_never_refused(
    medium: Medium, wanted: list[PhotoCopies], edges: Margins, gutter: float
) -> None:
    """The simplest layout there is: each order in its own full rows, all upright or all turned."""
    width = medium.size_mm.width - edges.left_mm - edges.right_mm + gutter + SLACK_MM
    height = medium.size_mm.height - edges.top_mm - edges.bottom_mm + gutter + SLACK_MM

    def needed_mm(order: PhotoCopies) -> float:
        sizes = (order.photo_mm, order.photo_mm.turned())
        columns = [int(width // (size.width + gutter)) for size in sizes]
        rows = [
            -(-order.count // wide) * (size.height + gutter) for wide, size in zip(columns, sizes, strict=True) if wide
        ]
        return min(rows, default=float("inf"))

    if sum(needed_mm(order) for order in wanted) <= height:
        assert laid(medium, wanted, edges, gutter) is not None


@unhurried
@given(media, orders, margins, gutters, st.lists(st.builds(Size, lengths(0.3, 1.2), lengths(0.3, 1.2)), min_size=3))
def test_bleeds_stay_apart_and_on_the_paper_and_beside_a_mark(
    medium: Medium, wanted: list[PhotoCopies], edges: Margins, gutter: float, bleeds_mm: list[Size]
) -> None:
    sheet = laid(medium, wanted, edges, gutter)
    if sheet is None:
        return
    shown, bands = [], []
    for place, sides in zip(sheet.photos, open_sides(sheet, bleeds_mm), strict=True):
        bleed = bleeds_mm[place.item].turned() if place.turned else bleeds_mm[place.item]
        reach = (bleed.width, bleed.height, bleed.width, bleed.height)
        trim = place.rect_mm
        shown.append(shown_mm(trim, reach, sides))
        ends = (trim.x, trim.y, trim.right, trim.bottom)
        for side, (is_open, end) in enumerate(zip(sides, ends, strict=True)):
            across = [mark.x0_mm if side % 2 == 0 else mark.y0_mm for mark in sheet.marks]
            assert not is_open or any(abs(at - end) < 0.01 for at in across)
            alone = shown_mm(trim, reach, Edges(*(int(side == each) for each in range(4))))
            inner = [0.0, 0.0, 0.0, 0.0]
            inner[(side + 2) % 4] = (trim.width, trim.height)[side % 2]
            bands += [(len(shown) - 1, alone.inset(*inner))] if is_open else []
    for index, band in bands:
        for other, rect in enumerate(shown):
            assert other == index or not grown(band, WHITE_MM - SLACK_MM).overlaps(rect, SLACK_MM)
    for rect in shown:
        assert sheet.printable_mm.contains(rect, SLACK_MM)
