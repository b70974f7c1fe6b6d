"""A start after a crash finds the bills that are not balanced, as SQLite has them."""

from contextlib import closing

import pytest

from kiosk.core.session.bill import Bill, Payment
from kiosk.core.session.business_report import Period, Takings
from kiosk.core.session.facts import SheetBegun, SheetEnded
from kiosk.core.session.payment_facts import BillSettled, PaymentAsked, PaymentEnded, PaymentRefunded, PaymentTaken
from kiosk.render.report.business import incidents
from kiosk.store.ledger import Bookkeeper
from kiosk.store.ledger.reading import read_trade
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


def test_the_report_has_the_money_of_the_bills_that_began_in_its_period_and_it_balances(tmp_path):
    """By hand: two bills in euros, one printed and 0.50 too much, one paid out; one in yen, which has no decimals."""
    path = tmp_path / "ledger.sqlite3"
    yen = (PaymentAsked("y1", "y1", 900, "JPY"), PaymentTaken("y1", 900), PaymentRefunded("y1", 900))
    paid_out = (PaymentAsked("k3", "k3", 950, "EUR"), PaymentTaken("k3", 400), BillSettled("k3", 400))
    more = (PaymentAsked("k2", "k1", 50, "EUR"), PaymentTaken("k2", 50))
    left_open(path, *PAID, SHEET, SheetEnded("s1", "printed"), *more, *paid_out, *yen)
    day = ManualClock(100.0).today().isoformat()
    trade = read_trade(path, Period.parse(day))
    assert trade.takings == (Takings("EUR", 1400, 0, 400, 950), Takings("JPY", 900, 900, 0, 0))
    euros, yens = [line for line in incidents(trade) if "taken" in line]
    assert euros == (
        "EUR 14.00 taken: 9.50 for printed sheets, 0.00 paid back by the unit, 4.00 paid out by the attendant, "
        "0.50 still owed."
    )
    assert yens.startswith("JPY 900 taken: 0 for printed sheets, 900 paid back")
    assert read_trade(path, Period.parse("2001-01-01")).takings == ()
