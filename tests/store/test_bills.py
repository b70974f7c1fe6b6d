"""A start after a crash finds the bills that are not balanced, as SQLite has them."""

from contextlib import closing

import pytest

from kiosk.core.session.bill import Bill, Payment
from kiosk.core.session.facts import (
    BillSettled,
    PaymentAsked,
    PaymentEnded,
    PaymentRefunded,
    PaymentTaken,
    SheetBegun,
    SheetEnded,
)
from kiosk.store.ledger import Bookkeeper
from tests.support.manual_clock import ManualClock

PAID = (PaymentAsked("k1", "k1", 950, "EUR"), PaymentTaken("k1", 950), PaymentEnded("k1", "approved"))
SHEET = SheetBegun("s1", "gb-passport-print", "na_index-4x6_4x6in", 4, bill="k1", price=950)
APPROVED = Payment("k1", 950, 950, 0, "approved")


def left_open(path, *facts, how_it_ended="unknown"):
    clock = ManualClock(100.0)
    with closing(Bookkeeper(path, clock, lambda key: how_it_ended)) as ledger:
        assert ledger.put_on_disk(facts)
    with closing(Bookkeeper(path, clock, lambda key: how_it_ended)) as ledger:
        return ledger.bills


@pytest.mark.parametrize(
    ("facts", "how_it_ended", "bills"),
    [
        ((), "unknown", ()),
        (PAID[:1], "unknown", (Bill("k1", "EUR", (Payment("k1", 950),)),)),
        (PAID[:2], "unknown", (Bill("k1", "EUR", (Payment("k1", 950, 950),)),)),
        (PAID, "unknown", (Bill("k1", "EUR", (APPROVED,)),)),
        ((*PAID, SHEET), "printed", ()),
        ((*PAID, SHEET), "not_printed", (Bill("k1", "EUR", (APPROVED,)),)),
        ((*PAID, SHEET), "unknown", (Bill("k1", "EUR", (APPROVED,)),)),
        ((*PAID, SHEET, SheetEnded("s1", "printed")), "unknown", ()),
        ((*PAID, PaymentRefunded("k1", 950)), "unknown", ()),
        ((*PAID, BillSettled("k1", 950)), "unknown", ()),
        ((*PAID, BillSettled("k1", 900)), "unknown", (Bill("k1", "EUR", (APPROVED,), settled=900),)),
        ((PAID[0], PaymentEnded("k1", "declined")), "unknown", ()),
    ],
)
def test_what_is_left_open(tmp_path, facts, how_it_ended, bills):
    assert left_open(tmp_path / "ledger.sqlite3", *facts, how_it_ended=how_it_ended) == bills


def test_coins_of_two_requests_and_too_many_of_them_are_one_bill(tmp_path):
    more = (PaymentAsked("k2", "k1", 550, "EUR"), PaymentTaken("k2", 600), PaymentEnded("k2", "approved"))
    first = (PaymentAsked("k1", "k1", 950, "EUR"), PaymentTaken("k1", 400), PaymentEnded("k1", "cancelled"))
    (bill,) = left_open(tmp_path / "ledger.sqlite3", *first, *more, SHEET, how_it_ended="printed")
    assert (bill.credit, bill.spent, len(bill.payments)) == (50, 950, 2)
