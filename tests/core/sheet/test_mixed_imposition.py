"""Several photos on one sheet against known answers."""

from collections import Counter
from dataclasses import replace

import pytest

from kiosk.core.base.geometry import Size
from kiosk.core.sheet.imposition import Margins, PhotoCopies, impose
from kiosk.core.sheet.media import medium
from kiosk.core.sheet.mixed_imposition import impose_several
from kiosk.errors import PhotosDoNotFit, SheetDoesNotFit

PASSPORT, SQUARE, LARGE = Size(35.0, 45.0), Size(50.8, 50.8), Size(50.0, 70.0)


def test_one_photo_alone_lies_as_ever() -> None:
    alone = impose_several(medium("5x7in"), [PhotoCopies(PASSPORT, 9)], Margins())
    assert alone == impose(medium("5x7in"), PASSPORT, Margins(), count=9)


def test_two_people_share_the_sheet_that_one_would_have() -> None:
    shared = impose_several(medium("4x6in"), [PhotoCopies(PASSPORT, 5), PhotoCopies(PASSPORT, 3)], Margins())
    assert [photo.item for photo in shared.photos] == [0] * 5 + [1] * 3
    alone = impose(medium("4x6in"), PASSPORT, Margins(), count=8)
    assert tuple(replace(photo, item=0) for photo in shared.photos) == alone.photos


def test_four_passport_photos_and_two_squares_on_four_by_six_by_hand() -> None:
    """The squares stand one on the other, 103.6 of 146.4 mm; 42.8 mm are left beside them and 40.8 mm below.

    So three upright photos stand beside them (139 mm) and one lies turned below them. A column of photos and a column
    of the rest take 4 upright strokes, and each of the 6 photos 2 level ones.
    """
    sheet = impose_several(medium("4x6in"), [PhotoCopies(PASSPORT, 4), PhotoCopies(SQUARE, 2)], Margins())
    assert [photo.item for photo in sheet.photos if photo.width_mm == 50.8] == [1, 1]
    assert Counter(photo.turned for photo in sheet.photos if photo.item == 0) == {False: 3, True: 1}
    assert len(sheet.strokes) == 4 + 2 * 6


def test_sizes_that_do_not_fit_together_are_refused_by_name() -> None:
    with pytest.raises(PhotosDoNotFit, match="4 of 35 x 45 mm and 3 of 50 x 70 mm do not fit 4x6in"):
        impose_several(medium("4x6in"), [PhotoCopies(PASSPORT, 4), PhotoCopies(LARGE, 3)], Margins())


def test_too_many_of_one_size_are_refused_with_the_number_that_fits() -> None:
    with pytest.raises(SheetDoesNotFit) as refusal:
        impose_several(medium("4x6in"), [PhotoCopies(PASSPORT, 5), PhotoCopies(PASSPORT, 4)], Margins())
    assert refusal.value.params["fit"] == 8


def test_margins_wider_than_the_paper_hold_nothing() -> None:
    with pytest.raises(PhotosDoNotFit):
        impose_several(medium("4x6in"), [PhotoCopies(PASSPORT, 1), PhotoCopies(SQUARE, 1)], Margins(90, 90, 90, 90))


@pytest.mark.parametrize(
    "orders", [[], [PhotoCopies(PASSPORT, 0)], [PhotoCopies(PASSPORT, 1), PhotoCopies(Size(0, 45), 1)]]
)
def test_what_is_no_order_is_an_error(orders: list[PhotoCopies]) -> None:
    with pytest.raises(ValueError, match="give"):
        impose_several(medium("4x6in"), orders, Margins())


def test_many_sizes_share_a_sheet_without_a_search_that_never_ends() -> None:
    """Five sizes, three of each: kind by kind; by area alone A4 would hold seven of each."""
    sizes = [PASSPORT, SQUARE, Size(33, 48), Size(40, 50), Size(30, 40)]
    sheet = impose_several(medium("a4"), [PhotoCopies(size, 3) for size in sizes], Margins())
    assert Counter(photo.item for photo in sheet.photos) == dict.fromkeys(range(5), 3)
