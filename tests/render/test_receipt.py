"""Receipts read back by pypdf, and measured: their words, their letters in any script, and their place on the sheet."""

import io
import unicodedata
from dataclasses import replace
from datetime import date
from decimal import Decimal

import numpy as np
import pytest
from pypdf import PdfReader

from kiosk.core.base.geometry import Size
from kiosk.core.session.receipt import Purchase, sheet_number
from kiosk.core.sheet.imposition import Margins, impose
from kiosk.core.sheet.media import medium
from kiosk.core.view.choice import Price
from kiosk.render.receipt.slip import Slip
from kiosk.render.receipt.words import purchase_lines, sheet_receipts
from kiosk.render.sheet.pdf import sheet_pdf
from kiosk.render.sheet.strip import SheetStrip
from tests.render.test_sheet_pdf import blank, rendered
from tests.support.shipped import CATALOGUE

DAY = date(2026, 11, 30)
SHOP = ("Foto Müller", "Hauptstraße 1, Berlin", "USt-IdNr. DE123456789", "Enthält 19 % Umsatzsteuer.")
PASSPORT = Size(35.0, 45.0)
PURCHASE = Purchase(CATALOGUE.get("gb-passport-print"), 2, Price(Decimal(19), "EUR"), True, "en")
NUMBER = sheet_number("a1b2c3d4e5f60708")
SAID = {
    "en": ("United Kingdom · passport", "2 sheets", "Paid"),
    "ar": ("المملكة المتحدة", "جواز سفر", "المدفوع"),
    "zh-Hans": ("英国 · 护照", "2 张纸", "已付"),
}
DPI = 300
PX_PER_MM = DPI / 25.4
CLEARANCE_MM = 0.3
"""Of the 0.5 mm that the layout keeps clear around photos and marks, less what a pixel rounds off."""
STRIP = SheetStrip(("gb-passport-print",), DAY)


def text_of(pdf):
    """Return the text of a file without marks of direction, on one line."""
    text = "\n".join(page.extract_text() for page in PdfReader(io.BytesIO(pdf)).pages)
    return " ".join("".join(letter for letter in text if unicodedata.category(letter) != "Cf").split())


def with_receipt(purchase=PURCHASE, shop=SHOP):
    return replace(STRIP, receipts=sheet_receipts(purchase, shop, DAY, NUMBER))


def laid(paper, count=None):
    return impose(medium(paper), PASSPORT, Margins(3.0, 3.0, 3.0, 3.0), 2.0, count)


def ink(pdf, folder):
    return rendered(pdf, folder, DPI, "-gray") < 250


@pytest.mark.parametrize("language", ["en", "ar", "zh-Hans"])
@pytest.mark.parametrize(("paper", "count"), [("4x6in", 4), ("10x15cm", None), ("a4", None)])
def test_a_receipt_touches_no_photo_no_mark_and_no_note(paper, count, language, tmp_path):
    sheet, purchase = laid(paper, count), replace(PURCHASE, language=language)
    before = ink(sheet_pdf(sheet, [blank(PASSPORT)], STRIP), tmp_path)
    after = ink(sheet_pdf(sheet, [blank(PASSPORT)], with_receipt(purchase)), tmp_path)
    receipt = after & ~before
    assert receipt.any()
    assert not (before & ~after).any()
    for kept in (*(place.rect_mm for place in sheet.photos), *(mark.rect_mm for mark in sheet.marks)):
        clear = kept.grown(CLEARANCE_MM)
        rows, columns = (
            slice(max(0, round(low * PX_PER_MM)), round(high * PX_PER_MM))
            for low, high in ((clear.y, clear.bottom), (clear.x, clear.right))
        )
        assert not receipt[rows, columns].any()
    down, across = np.nonzero(receipt)
    printable = sheet.printable_mm
    assert printable.x * PX_PER_MM - 1 <= across.min() <= across.max() <= printable.right * PX_PER_MM + 1
    assert printable.y * PX_PER_MM - 1 <= down.min() <= down.max() <= printable.bottom * PX_PER_MM + 1


@pytest.mark.parametrize(("language", "said"), sorted(SAID.items()))
def test_the_sheet_says_it_all_in_the_sitters_language(language, said):
    text = text_of(sheet_pdf(laid("4x6in", 4), [blank(PASSPORT)], with_receipt(replace(PURCHASE, language=language))))
    for words in (*SHOP, *said, "19.00", NUMBER):
        assert words in text


def test_where_there_is_little_room_the_shop_is_only_named():
    text = text_of(sheet_pdf(laid("5x7in"), [blank(PASSPORT)], with_receipt()))
    assert (
        f"Foto Müller · November 30, 2026 · United Kingdom · passport · 2 sheets · Paid: €19.00 · Number {NUMBER}"
        in text
    )


def test_without_room_the_sheet_is_as_without_a_receipt_and_the_log_says_so(caplog):
    square = Size(50.8, 50.8)
    full = impose(medium("4x6in"), square, Margins(0.0, 0.0, 0.0, 0.0), 0.0)
    assert sheet_pdf(full, [blank(square)], with_receipt()) == sheet_pdf(full, [blank(square)], STRIP)
    assert "the receipt was left out" in caplog.text


@pytest.mark.parametrize("paper", ["4x6in", "10x15cm", "5x7in", "a4"])
def test_a_receipt_moves_no_photo_and_no_note_that_was_there_before(paper):
    bare, full = (text_of(sheet_pdf(laid(paper), [blank(PASSPORT)], strip)) for strip in (STRIP, with_receipt()))
    assert full.startswith(bare)


def test_the_price_is_called_paid_only_where_the_booth_took_the_money():
    shown = purchase_lines(replace(PURCHASE, is_paid=False), DAY, NUMBER)
    assert shown[3].startswith("Price")
    assert purchase_lines(PURCHASE, DAY, NUMBER)[3].startswith("Paid")


@pytest.mark.parametrize(("language", "said"), sorted(SAID.items()))
@pytest.mark.parametrize("width_mm", [48.0, 80.0])
def test_the_slip_says_it_all_within_its_margins(width_mm, language, said, tmp_path):
    slip = Slip((*SHOP, "W" * 60), purchase_lines(replace(PURCHASE, language=language), DAY, NUMBER), width_mm, 4.0)
    page_mm = Size(width_mm, 200.0)
    assert slip.least_mm.height < page_mm.height
    pdf = slip.pdf(page_mm)
    text = text_of(pdf)
    for words in (*SHOP, *said, "19.00", NUMBER):
        assert words in text
    down, across = np.nonzero(ink(pdf, tmp_path))
    assert 4.0 * PX_PER_MM - 1 <= across.min() <= across.max() <= (width_mm - 4.0) * PX_PER_MM + 1
    assert 4.0 * PX_PER_MM - 1 <= down.min() <= down.max() <= (slip.least_mm.height - 4.0) * PX_PER_MM + 1
