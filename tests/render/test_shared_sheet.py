"""A sheet of several people as poppler renders it at 1200 dpi: each block in its place, with its caption."""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from pathlib import Path

import numpy as np
import pytest

from kiosk.core.base.geometry import Rect, Size
from kiosk.core.sheet.block_imposition import impose_blocks
from kiosk.core.sheet.imposition import Margins, Medium, PhotoCopies, Sheet
from kiosk.core.sheet.media import medium
from kiosk.core.sheet.mixed_imposition import impose_several
from kiosk.render.sheet.margin_notes import notes_room
from kiosk.render.sheet.pdf import sheet_pdf
from kiosk.render.sheet.photo import Photo
from kiosk.render.sheet.strip import SheetStrip
from tests.support.printed import Printed, read_page, stands_in

PASSPORT, SQUARE = Size(35.0, 45.0), Size(50.8, 50.8)
COLOURS = ((200, 40, 40), (40, 160, 40), (40, 40, 200))
ORDERS = [PhotoCopies(PASSPORT, 3), PhotoCopies(SQUARE, 2), PhotoCopies(PASSPORT, 4)]
CAPTIONS = ("gb-passport-print · anna.jpg", "us-passport-print · ben.jpg", "gb-passport-print · " + "c" * 90 + ".jpg")
PRINTED_MM = 0.02
"""A pixel at 1200 dpi is 0.021 mm."""


@pytest.fixture(scope="module")
def sheet() -> Sheet:
    return impose_blocks(medium("a4"), ORDERS, Margins())


@pytest.fixture(scope="module")
def page(sheet: Sheet, tmp_path_factory: pytest.TempPathFactory) -> Printed:
    photos = [
        Photo(
            np.full((round(order.photo_mm.height * 4), round(order.photo_mm.width * 4), 3), colour, np.uint8),
            order.photo_mm,
        )
        for order, colour in zip(ORDERS, COLOURS, strict=True)
    ]
    strip = SheetStrip(("gb-passport-print", "us-passport-print"), date(2026, 11, 29), captions=CAPTIONS)
    path = tmp_path_factory.mktemp("sheet") / "s.pdf"
    path.write_bytes(sheet_pdf(sheet, photos, strip))
    return read_page(path)


def inked(page: Printed, rect: Rect) -> np.ndarray:
    """Return which pixels of a rectangle are dark."""
    per_mm = page.dpi / 25.4
    rows = slice(round(rect.y * per_mm), round(rect.bottom * per_mm))
    columns = slice(round(rect.x * per_mm), round(rect.right * per_mm))
    return np.asarray(page.pixels[rows, columns].max(axis=2) < 128)


@pytest.mark.parametrize("item", range(3))
def test_each_block_lies_where_the_layout_has_it(sheet: Sheet, page: Printed, item: int) -> None:
    own = [photo.rect_mm for photo in sheet.photos if photo.item == item]
    left, top = min(rect.x for rect in own), min(rect.y for rect in own)
    width, height = max(rect.right for rect in own) - left, max(rect.bottom for rect in own) - top
    assert page.box_mm(COLOURS[item]) == pytest.approx((left, top, width, height), abs=2 * PRINTED_MM)


@pytest.mark.parametrize("item", range(3))
def test_each_caption_is_written_in_its_place_however_long_it_is(sheet: Sheet, page: Printed, item: int) -> None:
    place = sheet.captions_mm[item]
    ink = inked(page, place)
    assert ink.any()
    written_mm = (np.flatnonzero(ink.any(axis=0))[-1] + 1) / page.dpi * 25.4
    assert written_mm <= place.width
    beside = Rect(place.right, place.y, 0.9, place.height)
    assert not inked(page, beside).any()
    letters_mm = (np.ptp(np.flatnonzero(ink.any(axis=1))) + 1) / page.dpi * 25.4
    assert letters_mm >= 1.0


def test_bar_and_notes_have_room_beside_the_blocks(sheet: Sheet) -> None:
    assert all(
        notes_room(sheet, SheetStrip(("gb-passport-print",), date(2026, 11, 29), warnings=("DOES NOT CONFORM",)))
    )


def test_a_full_sheet_has_small_captions_where_only_photos_of_one_person_are_near(tmp_path: Path) -> None:
    """Eight passports of two people fill 4 x 6 in; the gutters between photos of one person are 2 mm wide."""
    sheet = impose_several(medium("4x6in"), [PhotoCopies(PASSPORT, 4)] * 2, Margins())
    strip = SheetStrip(("gb-passport-print",), date(2026, 11, 29), captions=("anna", "ben"))
    assert notes_room(sheet, strip).for_captions
    photos = [Photo(np.full((180, 140, 3), colour, np.uint8), PASSPORT) for colour in COLOURS[:2]]
    bare, captioned = (tmp_path / name for name in ("bare.pdf", "captioned.pdf"))
    bare.write_bytes(sheet_pdf(sheet, photos, replace(strip, captions=())))
    captioned.write_bytes(sheet_pdf(sheet, photos, strip))
    assert not any(stands_in(bare.read_bytes(), name) for name in ("anna", "ben"))
    assert all(stands_in(captioned.read_bytes(), name) for name in ("anna", "ben"))


def test_captions_without_any_room_are_missed() -> None:
    tight = Medium("custom", "custom", Size(70.0, 45.0))
    sheet = impose_several(tight, [PhotoCopies(PASSPORT, 1)] * 2, Margins(0, 0, 0, 0), 0.0)
    assert not notes_room(sheet, SheetStrip(("a",), date(2026, 11, 29), captions=("anna", "ben"))).for_captions
