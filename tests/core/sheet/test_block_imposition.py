"""Blocks of photos on one sheet: where they lie, whose marks are whose, and how a sheet is filled."""

from collections import Counter
from itertools import combinations

import pytest

from kiosk.core.base.geometry import Rect, Size
from kiosk.core.sheet.block_imposition import APART_MM, CAPTION_MM, impose_blocks
from kiosk.core.sheet.cut_marks import MARK_CLEARANCE_MM
from kiosk.core.sheet.imposition import Margins, PhotoCopies, Sheet
from kiosk.core.sheet.media import medium
from kiosk.core.sheet.shared_sheet import impose_filled, impose_shared
from kiosk.errors import PhotosDoNotFit, SheetDoesNotFit

PASSPORT, SQUARE, LARGE = Size(35.0, 45.0), Size(50.8, 50.8), Size(50.0, 70.0)
SHEETS = {
    "two people on a postcard": ("4x6in", [PhotoCopies(PASSPORT, 2)] * 2),
    "two documents": ("a4", [PhotoCopies(PASSPORT, 5), PhotoCopies(SQUARE, 3)]),
    "three sizes": ("a4", [PhotoCopies(PASSPORT, 4), PhotoCopies(SQUARE, 2), PhotoCopies(LARGE, 3)]),
    "a family": ("a4", [PhotoCopies(PASSPORT, 2)] * 5),
}


@pytest.fixture(params=list(SHEETS))
def laid(request: pytest.FixtureRequest) -> tuple[Sheet, list[PhotoCopies]]:
    paper, orders = SHEETS[request.param]
    return impose_blocks(medium(paper), orders, Margins()), orders


def outer(rects: list[Rect]) -> Rect:
    left, top = min(rect.x for rect in rects), min(rect.y for rect in rects)
    return Rect(left, top, max(rect.right for rect in rects) - left, max(rect.bottom for rect in rects) - top)


def block(sheet: Sheet, item: int) -> Rect:
    return outer([photo.rect_mm for photo in sheet.photos if photo.item == item])


def distance(one: Rect, other: Rect) -> float:
    across = max(one.x - other.right, other.x - one.right, 0.0)
    down = max(one.y - other.bottom, other.y - one.bottom, 0.0)
    return (across**2 + down**2) ** 0.5


def test_every_order_has_its_copies_and_blocks_keep_apart(laid: tuple[Sheet, list[PhotoCopies]]) -> None:
    sheet, orders = laid
    assert Counter(photo.item for photo in sheet.photos) == {n: order.count for n, order in enumerate(orders)}
    for one, other in combinations(range(len(orders)), 2):
        assert distance(block(sheet, one), block(sheet, other)) >= 2 * (MARK_CLEARANCE_MM + APART_MM)
    assert all(sheet.printable_mm.contains(photo.rect_mm, 1e-6) for photo in sheet.photos)


def test_a_caption_lies_over_its_own_block_and_over_nothing_else(laid: tuple[Sheet, list[PhotoCopies]]) -> None:
    sheet, orders = laid
    assert len(sheet.captions_mm) == len(orders)
    for item, caption in enumerate(sheet.captions_mm):
        own = block(sheet, item)
        others = [distance(caption, block(sheet, other)) for other in range(len(orders)) if other != item]
        assert caption.bottom <= own.y
        assert distance(caption, own) <= min(others)
        assert sheet.printable_mm.contains(caption, 1e-6)
        assert not any(caption.overlaps(photo.rect_mm) for photo in sheet.photos)
        assert not any(caption.overlaps(mark.rect_mm) for mark in sheet.marks)
        assert caption.height == CAPTION_MM


def test_every_edge_is_marked_at_both_ends_by_marks_nearest_to_its_own_block(
    laid: tuple[Sheet, list[PhotoCopies]],
) -> None:
    sheet, orders = laid
    ends: Counter[tuple[int, str, float]] = Counter()
    for mark in sheet.marks:
        near = sorted(range(len(orders)), key=lambda item: distance(mark.rect_mm, block(sheet, item)))
        reach = [distance(mark.rect_mm, block(sheet, item)) for item in near]
        assert reach[0] == pytest.approx(MARK_CLEARANCE_MM, abs=1e-6) or block(sheet, near[0]).overlaps(mark.rect_mm)
        assert len(reach) == 1 or reach[1] >= 2 * reach[0]
        upright = mark.x0_mm == mark.x1_mm
        ends[near[0], "x" if upright else "y", round(mark.x0_mm if upright else mark.y0_mm, 3)] += 1
    for photo in sheet.photos:
        rect = photo.rect_mm
        for axis, at_mm in (("x", rect.x), ("x", rect.right), ("y", rect.y), ("y", rect.bottom)):
            assert ends[photo.item, axis, round(at_mm, 3)] >= 2


def test_a_sheet_is_filled_from_the_prints_to_hand_in() -> None:
    """4 x 6 in holds two blocks of two passports each; a third copy of either has no room (drawn by hand)."""
    sheet = impose_filled(medium("4x6in"), [PhotoCopies(PASSPORT, 1)] * 2, Margins())
    assert Counter(photo.item for photo in sheet.photos) == {0: 2, 1: 2}
    assert sheet.captions_mm
    wider = impose_filled(medium("a4"), [PhotoCopies(PASSPORT, 4), PhotoCopies(SQUARE, 1)], Margins())
    counts = Counter(photo.item for photo in wider.photos)
    assert counts[0] >= 4
    assert counts[1] > 1


def test_what_fits_only_without_captions_is_laid_without() -> None:
    """Eight passports fill 4 x 6 in."""
    sheet = impose_shared(medium("4x6in"), [PhotoCopies(PASSPORT, 4)] * 2, Margins())
    assert Counter(photo.item for photo in sheet.photos) == {0: 4, 1: 4}
    assert sheet.captions_mm == ()
    with pytest.raises(SheetDoesNotFit):
        impose_shared(medium("4x6in"), [PhotoCopies(PASSPORT, 5), PhotoCopies(PASSPORT, 4)], Margins())


def test_blocks_without_room_are_refused_by_name() -> None:
    with pytest.raises(PhotosDoNotFit, match="4 of 35 x 45 mm and 3 of 50 x 70 mm do not fit 4x6in"):
        impose_blocks(medium("4x6in"), [PhotoCopies(PASSPORT, 4), PhotoCopies(LARGE, 3)], Margins())


@pytest.mark.parametrize("orders", [[], [PhotoCopies(PASSPORT, 0)]])
def test_an_order_of_nothing_makes_no_sense(orders: list[PhotoCopies]) -> None:
    with pytest.raises(ValueError, match="1 or more"):
        impose_blocks(medium("a4"), orders, Margins())


@pytest.mark.parametrize("gutter_mm", [0.0, 0.5])
def test_blocks_with_a_narrow_gutter_keep_their_marks(gutter_mm: float) -> None:
    sheet = impose_blocks(medium("a4"), [PhotoCopies(PASSPORT, 4), PhotoCopies(SQUARE, 2)], Margins(), gutter_mm)
    lines = {round(mark.x0_mm, 3) for mark in sheet.marks if mark.x0_mm == mark.x1_mm}
    assert {round(edge, 3) for photo in sheet.photos for edge in (photo.x_mm, photo.rect_mm.right)} <= lines
