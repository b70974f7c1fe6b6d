"""Sheets are paid for before they are printed; a payment that fails prints nothing, and no credit is lost."""

from dataclasses import replace
from decimal import Decimal

import pytest

from kiosk.core.base.ticket import Ticket
from kiosk.core.judging.conformance import judge
from kiosk.core.judging.framing import framing
from kiosk.core.session.account import PaymentTerms
from kiosk.core.session.booth_config import BoothConfig
from kiosk.core.session.commands import AskPayment, CancelPayment, Look, Print, Wipe
from kiosk.core.session.events import (
    Failed,
    Mended,
    MoneyCame,
    MoneyReturned,
    PaymentOver,
    PrinterStood,
    PrintMoved,
    Released,
    Still,
    Tick,
)
from kiosk.core.session.presenter import present
from kiosk.core.session.state import Session
from kiosk.core.session.step import step
from kiosk.core.view.choice import Price
from kiosk.core.view.intent import Intent
from tests.support.sights import DOCUMENT, conforming

EURO = Price(Decimal("9.50"), "EUR")
HOUSE = BoothConfig((DOCUMENT,), sheets=(1, 2), prices={DOCUMENT.id: EURO}, payment=PaymentTerms("coins"))
GOOD = Still(judge(conforming(DOCUMENT), DOCUMENT), b"jpeg")
REVIEW = Session(state="review", document=DOCUMENT, where=framing(DOCUMENT, 1600, 2000), still=GOOD, shot=1)
JAMMED = Failed("It has jammed.", "Open it.", "printer_fault")
GONE = Failed("The camera has gone.", "Look at its cable.", "camera_fault")
SHUT = Failed("The booth is closed.", "Open it at the desk.", "shut_by_attendant")


def after(session, *events, config=HOUSE, now_s=5.0):
    commands = ()
    for event in events:
        session, commands = step(session, event, now_s, config)
    return session, commands


def paying(config=HOUSE):
    return after(REVIEW, Intent("accept"), Intent("print"), config=config)


def came(session, credit):
    return MoneyCame(session.account.ticket, credit, "7C0DE")


def over(session, end):
    return PaymentOver(session.account.ticket, end)


def test_money_comes_before_the_print():
    session, (asked,) = paying()
    assert (session.state, asked) == ("paying", AskPayment(session.ticket, 950, "EUR"))
    session, commands = after(session, came(session, 950))
    assert (session.state, commands) == ("paying", ()), "the unit has not said that this is all"
    session, (order,) = after(session, over(session, "approved"))
    assert session.state == "printing"
    assert isinstance(order, Print)


def test_nobody_is_asked_for_money_while_the_printer_could_not_print():
    session, commands = after(REVIEW, Intent("accept"), PrinterStood(False), Intent("print"))
    assert (session.state, commands) == ("copies", ())
    assert present(session, HOUSE, 5.0, simulated=False, copies=1, paper="a").sheet.print_state == "failed"
    session, commands = after(session, PrinterStood(True), Intent("print"))
    assert (session.state, [type(command) for command in commands]) == ("paying", [AskPayment])


def test_a_release_waits_for_the_printer_too_and_is_then_paid_for():
    """Nobody is told in `release` that the printer is mended: whoever came there with a stopped one would stay."""
    config = replace(HOUSE, release="attendant")
    session, _ = after(REVIEW, Intent("accept"), PrinterStood(False), Intent("print"), config=config)
    assert session.state == "copies"
    session, _ = after(session, PrinterStood(True), Intent("print"), Released(), config=config)
    assert session.state == "paying"


def test_a_sheet_that_is_paid_for_already_is_sent_to_a_printer_that_has_stopped():
    """It is held there until it can be printed, and the sitter is told so."""
    credit = replace(REVIEW, account=replace(REVIEW.account, credit=950))
    session, (order,) = after(credit, Intent("accept"), PrinterStood(False), Intent("print"))
    assert session.state == "printing"
    assert isinstance(order, Print)


def test_news_of_the_printer_changes_nothing_but_a_choice_of_sheets():
    for state in ("welcome", "align", "review", "paying", "printing", "unprinted", "collect"):
        session = replace(REVIEW, state=state)
        assert after(session, PrinterStood(False)) == (session, ())


def test_the_price_is_that_of_all_sheets_on_the_chosen_paper():
    config = replace(HOUSE, papers={DOCUMENT.id: ("a", "b")}, extras={"b": Decimal("0.25")})
    session, _ = after(REVIEW, Intent("accept"), Intent("sheets", "2"), Intent("paper", "b"), config=config)
    assert present(session, config, 5.0, simulated=False, copies=1, paper="a").payment.due.amount == Decimal("19.50")
    _, (asked,) = after(session, Intent("print"), config=config)
    assert asked.amount == 1950, "two times 9.50 and 0.25 more each, by hand"


@pytest.mark.parametrize(("digits", "minor"), [(0, 10), (2, 950), (3, 9500)])
def test_minor_units_are_those_of_the_currency(digits, minor):
    """ISO 4217: the yen has none, the dinar of Kuwait has three decimals; half a yen is rounded up."""
    assert PaymentTerms("coins", digits).minor(EURO) == minor


def test_a_choice_of_one_is_shown_all_the_same_because_it_has_to_be_paid():
    session, commands = after(REVIEW, Intent("accept"), config=replace(HOUSE, sheets=(1,)))
    assert (session.state, commands) == ("copies", ())


@pytest.mark.parametrize("price", [{}, {DOCUMENT.id: Price(Decimal(0), "EUR")}])
def test_what_costs_nothing_is_printed_at_once(price):
    session, _ = paying(replace(HOUSE, prices=price))
    assert session.state == "printing"


def test_the_attendant_releases_before_the_sitter_pays():
    config = replace(HOUSE, release="attendant")
    session, commands = paying(config)
    assert (session.state, commands) == ("release", ())
    session, (asked,) = after(session, Released(), config=config)
    assert (session.state, asked.amount) == ("paying", 950)


@pytest.mark.parametrize("end", ["declined", "cancelled", "failed", "unknown"])
def test_a_refused_payment_prints_nothing_and_keeps_the_photo(end):
    session, _ = paying()
    back, commands = after(session, over(session, end))
    assert (back.state, back.still, back.account.note, commands) == ("copies", GOOD, end, ())
    again, (asked,) = after(back, Intent("print"))
    assert again.account.note == ""
    assert asked.ticket != session.account.ticket, "no ticket is given out twice"


def test_anothers_money_and_another_requests_answer_change_nothing():
    session, _ = paying()
    other = Ticket(99)
    assert after(
        session, MoneyCame(other, 950, "OTHER"), PaymentOver(other, "approved"), MoneyReturned(other, True)
    ) == (
        session,
        (),
    )
    fresh = Session(document=DOCUMENT)
    assert after(fresh, came(session, 950))[0].account.credit == 0


def test_coins_are_counted_on_when_the_sitter_chooses_anew():
    session, _ = paying()
    session, commands = after(session, came(session, 400), Intent("cancel"))
    assert (session.state, commands) == ("paying", (CancelPayment(session.account.ticket),))
    assert after(session, Intent("cancel"))[1] == (), "the unit is asked once to end"
    session, _ = after(session, over(session, "cancelled"))
    assert (session.state, session.account.credit) == ("copies", 400)
    _, (asked,) = after(session, Intent("print"))
    assert asked.amount == 550


def test_an_approval_after_the_cancellation_is_a_credit_and_the_next_tap_prints():
    session, _ = paying()
    session, _ = after(session, Intent("cancel"), came(session, 950), over(session, "approved"))
    assert (session.state, session.account.credit) == ("copies", 950)
    session, (order,) = after(session, Intent("print"))
    assert isinstance(order, Print)


def test_a_payment_counts_down_is_prolonged_by_each_coin_and_ended_in_time():
    session, _ = paying()
    limit_s = HOUSE.idle_s["paying"]
    shown = present(session, HOUSE, 5.0 + limit_s - 9.5, simulated=False, copies=1, paper="a")
    assert (shown.payment.seconds_left, shown.time_left_s) == (10, None)
    session, _ = after(session, came(session, 200), now_s=100.0)
    session, commands = after(session, Tick(), now_s=100.0 + limit_s)
    assert (session.state, commands) == ("paying", ())
    session, commands = after(session, Tick(), now_s=100.1 + limit_s)
    assert commands == (CancelPayment(session.account.ticket),)
    silent, _ = after(session, Tick(), now_s=101.0 + 2 * limit_s)
    assert (silent.state, silent.account.note, silent.account.credit) == ("copies", "unknown", 200)


def test_a_failed_print_keeps_the_credit_and_trying_again_costs_nothing():
    session, _ = paying()
    session, _ = after(session, came(session, 950), over(session, "approved"), JAMMED)
    assert (session.state, session.account.credit) == ("unprinted", 950)
    session, (order,) = after(session, Intent("retry"))
    assert isinstance(order, Print)
    session, commands = after(session, came(session, 0), PrintMoved("done"))
    assert (session.state, commands) == ("collect", (Wipe("printed"),))
    assert after(session, Intent("done"))[0].state == "thanks"


@pytest.mark.parametrize("way_out", [Intent("start_again"), Tick(), SHUT])
def test_whoever_leaves_with_credit_is_told_what_becomes_of_it_and_nothing_else_is_kept(way_out):
    session, _ = paying()
    session, _ = after(session, came(session, 400), Intent("cancel"), over(session, "cancelled"))
    session, commands = after(session, way_out, now_s=1000.0)
    assert (session.state, session.still, session.document) == ("money_back", None, None)
    assert commands[0] == Look(False)
    assert isinstance(commands[1], Wipe)
    view = present(session, HOUSE, 1000.0, simulated=False, copies=1, paper="a").payment
    assert (view.paid.amount, view.code, view.repaid) == (Decimal("4.00"), "7C0DE", None)
    session, _ = after(session, MoneyReturned(session.account.ticket, by_unit=False), now_s=1001.0)
    assert session.account.repaid is False
    gone, commands = after(session, Intent("done"), now_s=1002.0)
    assert (gone.state, commands) == ("out_of_order" if way_out is SHUT else "welcome", ())
    assert gone.account.credit == 0
    late, _ = after(session, Tick(), now_s=1001.0 + HOUSE.idle_s["money_back"])
    assert late.state == gone.state


def test_a_sheet_that_comes_out_after_its_sitter_was_to_get_the_money_back_leaves_nothing_to_say():
    session, _ = paying()
    session, _ = after(session, came(session, 950), over(session, "approved"))
    late, commands = after(session, Tick(), now_s=10.0 + HOUSE.idle_s["printing"])
    assert (late.state, Wipe("fault") in commands) == ("money_back", True)
    assert after(late, came(late, 0))[0].state == "welcome"


def test_too_many_coins_are_told_before_the_thanks():
    session, _ = paying()
    session, _ = after(session, came(session, 1000), over(session, "approved"), came(session, 50), PrintMoved("done"))
    session, _ = after(session, Intent("done"))
    assert (session.state, session.account.credit) == ("money_back", 50)


def test_a_device_that_fails_while_somebody_pays_waits_for_the_answer():
    session, _ = paying()
    session, commands = after(session, GONE)
    assert (session.state, commands) == ("paying", (CancelPayment(session.account.ticket),))
    closed, commands = after(session, over(session, "cancelled"))
    assert (closed.state, closed.fault) == ("out_of_order", (GONE.sentence, GONE.next_step))
    assert Wipe("fault") in commands
    mended, _ = after(session, Mended(), over(session, "cancelled"))
    assert mended.state == "copies"
    owed, _ = after(session, came(session, 200), over(session, "cancelled"))
    assert (owed.state, owed.news) == ("money_back", GONE)


def test_nobody_starts_again_in_the_middle_of_a_payment():
    session, _ = paying()
    assert after(session, Intent("start_again"))[0].state == "paying"
