"""Receipts of a whole booth: in the margin of the sheet that was paid for, and no second slip for a reprint."""

import io
import unicodedata
from decimal import Decimal

from pypdf import PdfReader

from kiosk.core.session.receipt import Purchase
from kiosk.core.view.choice import Price
from kiosk.devices.sim.payment import SimulatedPayment
from tests.flow.test_payment import go, wait
from tests.support.quick_booth import opened
from tests.support.sights import DOCUMENT

SHOP = ("Foto Müller",)


def text_of(pdf):
    text = " ".join(PdfReader(io.BytesIO(pdf)).pages[0].extract_text().split())
    return "".join(letter for letter in text if unicodedata.category(letter) != "Cf")


def printed(folder):
    return sorted((folder / "prints").glob("*.pdf"))


def test_a_paid_sheet_says_what_was_paid_beside_its_photos(tmp_path):
    with opened(tmp_path, unit=SimulatedPayment(step_s=0.001), shop=SHOP, sheets=(2,), photos=4) as (loop, parts):
        go(loop, parts, "collect")
    (sheet,) = printed(tmp_path)
    number = sheet.stem[:6].upper()
    text = text_of(sheet.read_bytes())
    assert "Foto Müller" in text
    assert f"2 sheets · Paid: €19.00 · Number {number}" in text or f"2 sheets Paid: €19.00 Number {number}" in text


def test_a_sheet_that_costs_nothing_has_no_receipt(tmp_path):
    with opened(tmp_path, shop=SHOP) as (loop, parts):
        go(loop, parts, "collect")
    (sheet,) = printed(tmp_path)
    assert "Foto" not in text_of(sheet.read_bytes())


class Receipts:
    """Notes what it is given, in place of a tracker with a printer."""

    def __init__(self):
        self.sent, self.ended = [], []

    def sheet_sent(self, key, purchase):
        self.sent.append((key, purchase))

    def sheet_ended(self, key, *, printed):
        self.ended.append((key, printed))

    def faults(self):
        return []


def test_a_reprint_by_the_attendant_is_no_second_purchase(tmp_path):
    receipts = Receipts()
    unit = SimulatedPayment(step_s=0.001)
    with opened(tmp_path, unit=unit, receipts=receipts, reprint_minutes=5) as (loop, parts):
        go(loop, parts, "collect")
        (kept,) = loop._sheets.offered()
        loop._sheets.send_again(kept.key)
        wait(loop, parts, lambda: len(receipts.ended) == 2)
    ((key, purchase),) = receipts.sent
    assert purchase == Purchase(DOCUMENT, 1, Price(Decimal("9.50"), "EUR"), True, "en")
    assert receipts.ended[0] == (key, True)
    assert receipts.ended[1][0] != key
