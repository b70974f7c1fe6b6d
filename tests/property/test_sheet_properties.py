"""What holds for every sheet, whatever its sizes."""

from itertools import combinations

from hypothesis import given, settings
from hypothesis import strategies as st

from kiosk.core.base.geometry import Rect, Size
from kiosk.core.sheet.cut_marks import MARK_CLEARANCE_MM
from kiosk.core.sheet.free_space import free_rects
from kiosk.core.sheet.imposition import Margins, Medium, Sheet, impose
from kiosk.errors import SheetDoesNotFit

SLACK_MM = 1e-6

unhurried = settings(deadline=None)


def lengths(low_mm: float, high_mm: float) -> st.SearchStrategy[float]:
    return st.integers(round(low_mm * 100), round(high_mm * 100)).map(lambda hundredths: hundredths / 100)


media = st.builds(lambda w, h: Medium("custom", "custom", Size(w, h)), lengths(50, 220), lengths(50, 300))
photos = st.builds(Size, lengths(24, 70), lengths(24, 70))
margins = st.builds(Margins, *[lengths(0, 13)] * 4)
gutters = st.sampled_from([0.0, 0.5, 1.0, 2.0, 3.3])


def impose_or_none(
    medium: Medium, photo: Size, edges: Margins, gutter: float, count: int | None = None
) -> Sheet | None:
    try:
        return impose(medium, photo, edges, gutter, count)
    except SheetDoesNotFit:
        return None


def plain_grid(sheet_mm: float, high_mm: float, photo: Size, gutter: float) -> int:
    columns = int((sheet_mm + gutter + SLACK_MM) // (photo.width + gutter))
    rows = int((high_mm + gutter + SLACK_MM) // (photo.height + gutter))
    return max(0, columns) * max(0, rows)


def grown(rect: Rect, by_mm: float) -> Rect:
    return rect.inset(-by_mm, -by_mm, -by_mm, -by_mm)


@unhurried
@given(media, photos, margins, gutters)
def test_photos_stay_inside_keep_the_gutter_and_their_size(
    medium: Medium, photo: Size, edges: Margins, gutter: float
) -> None:
    sheet = impose_or_none(medium, photo, edges, gutter)
    if sheet is None:
        return
    for place in sheet.photos:
        assert sheet.printable_mm.contains(place.rect_mm, SLACK_MM)
        assert Size(place.width_mm, place.height_mm) == (photo.turned() if place.turned else photo)
    for one, other in combinations(sheet.photos, 2):
        assert not grown(one.rect_mm, gutter).overlaps(other.rect_mm, SLACK_MM)


@unhurried
@given(media, photos, margins, gutters)
def test_the_count_is_never_below_the_better_plain_grid(
    medium: Medium, photo: Size, edges: Margins, gutter: float
) -> None:
    sheet = impose_or_none(medium, photo, edges, gutter)
    width = medium.size_mm.width - edges.left_mm - edges.right_mm
    height = medium.size_mm.height - edges.top_mm - edges.bottom_mm
    best = max(plain_grid(width, height, side, gutter) for side in (photo, photo.turned()))
    assert (len(sheet.photos) if sheet else 0) >= best


@unhurried
@given(media, photos, margins, gutters)
def test_the_group_lies_in_the_middle(medium: Medium, photo: Size, edges: Margins, gutter: float) -> None:
    sheet = impose_or_none(medium, photo, edges, gutter)
    if sheet is None:
        return
    rects, printable = [place.rect_mm for place in sheet.photos], sheet.printable_mm
    left = min(rect.x for rect in rects) - printable.x
    right = printable.right - max(rect.right for rect in rects)
    top = min(rect.y for rect in rects) - printable.y
    foot = printable.bottom - max(rect.bottom for rect in rects)
    pixel_mm = 25.4 / 300
    assert abs(left - right) <= pixel_mm + SLACK_MM
    assert abs(top - foot) <= pixel_mm + SLACK_MM


@unhurried
@given(media, photos, margins, gutters)
def test_marks_lie_in_the_printable_waste_clear_of_every_photo(
    medium: Medium, photo: Size, edges: Margins, gutter: float
) -> None:
    sheet = impose_or_none(medium, photo, edges, gutter)
    if sheet is None:
        return
    for mark in sheet.marks:
        assert sheet.printable_mm.contains(mark.rect_mm, SLACK_MM)
        for place in sheet.photos:
            assert not grown(mark.rect_mm, MARK_CLEARANCE_MM - SLACK_MM).overlaps(place.rect_mm, SLACK_MM)


@unhurried
@given(media, photos, margins, gutters)
def test_the_strokes_free_every_photo_and_cut_none(medium: Medium, photo: Size, edges: Margins, gutter: float) -> None:
    sheet = impose_or_none(medium, photo, edges, gutter)
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
@given(media, photos, margins, gutters)
def test_turning_paper_and_photo_turns_the_sheet(medium: Medium, photo: Size, edges: Margins, gutter: float) -> None:
    other_way = Medium(medium.name, medium.short, medium.size_mm.turned())
    other_edges = Margins(edges.top_mm, edges.left_mm, edges.bottom_mm, edges.right_mm)
    sheet = impose_or_none(medium, photo, edges, gutter)
    turned = impose_or_none(other_way, photo.turned(), other_edges, gutter)
    turned_paper = impose_or_none(other_way, photo, other_edges, gutter)
    counts = {len(found.photos) if found else 0 for found in (sheet, turned, turned_paper)}
    assert len(counts) == 1


@unhurried
@given(media, photos, margins, gutters, st.integers(1, 40))
def test_an_exact_count_is_kept_or_refused(
    medium: Medium, photo: Size, edges: Margins, gutter: float, count: int
) -> None:
    most = impose_or_none(medium, photo, edges, gutter)
    asked = impose_or_none(medium, photo, edges, gutter, count)
    if most is not None and count <= len(most.photos):
        assert asked is not None
        assert len(asked.photos) == count
    else:
        assert asked is None


@unhurried
@given(media, photos, margins)
def test_free_rectangles_are_empty_and_cannot_grow(medium: Medium, photo: Size, edges: Margins) -> None:
    sheet = impose_or_none(medium, photo, edges, 2.0)
    if sheet is None:
        return
    area, taken = sheet.printable_mm, [place.rect_mm for place in sheet.photos]
    for free in free_rects(area, taken):
        assert area.contains(free)
        assert not any(free.overlaps(rect) for rect in taken)
        for left, top, right, foot in ((1, 0, 0, 0), (0, 1, 0, 0), (0, 0, 1, 0), (0, 0, 0, 1)):
            larger = free.inset(*(-1e-3 * side for side in (left, top, right, foot)))
            assert not area.contains(larger) or any(larger.overlaps(rect) for rect in taken)
