"""A paid sheet on the whole booth: the ledger's sums are those of the payment unit's own books, whatever goes wrong."""

import sqlite3
import time
from contextlib import closing

import pytest

from kiosk.booth.loop import TICK_S
from kiosk.core.view.attendant import DeskIntent
from kiosk.core.view.intent import Intent
from kiosk.devices.folder.printer import FolderPrinter
from kiosk.devices.sim.payment import SimulatedPayment
from kiosk.errors import PrinterFault, SheetUnknown
from tests.crash.booth import WAYS
from tests.support.pin import CHEAP_HASH
from tests.support.quick_booth import opened

LIMIT_S = 60.0
PRICE = 950


class FailingPrinter(FolderPrinter):
    """Fails the first sheets, surely or perhaps."""

    def __init__(self, folder, *faults):
        super().__init__(folder)
        self.faults = list(faults)

    def print_sheet(self, job):
        if self.faults:
            raise self.faults.pop(0)(printer="it", detail="it was told to fail")
        return super().print_sheet(job)


class EmptyPrinter(FolderPrinter):
    """Has no paper until some is put in."""

    paper = False

    def check(self):
        if not self.paper:
            raise PrinterFault(printer="it", detail="the paper has run out")
        super().check()


def turn(loop, parts):
    parts.worker.turn()
    loop.tick()
    parts.clock.sleep(TICK_S)
    if loop.session.state in ("paying", "printing", "money_back", "copies"):
        time.sleep(0.001)


def go(loop, parts, *until, ways=WAYS):
    end_s = time.monotonic() + LIMIT_S
    loop.tick()
    while loop.session.state not in until:
        assert time.monotonic() < end_s, (loop.session.state, loop.session.account)
        if loop.session.state in ways:
            loop._step(ways[loop.session.state])
        turn(loop, parts)


def wait(loop, parts, condition):
    end_s = time.monotonic() + LIMIT_S
    while not condition():
        assert time.monotonic() < end_s, (loop.session.state, loop.session.account)
        turn(loop, parts)


def money(folder):
    """Return paid, paid back, paid out and spent, as the ledger has them."""
    with closing(sqlite3.connect(folder / "ledger" / "ledger.sqlite3")) as ledger:
        paid = ledger.execute("SELECT total(paid), total(refunded), total(settled) FROM payment").fetchone()
        (spent,) = ledger.execute("SELECT total(price) FROM sheet WHERE ended = 'printed'").fetchone()
    return tuple(map(int, (*paid, spent)))


def balanced(folder, unit, owed=0):
    """Hold the ledger against the unit's books and the folder of prints."""
    paid, refunded, settled, spent = money(folder)
    assert paid == sum(booked.paid for booked in unit.books.values())
    assert refunded == sum(booked.refunded for booked in unit.books.values())
    assert spent == PRICE * len(list((folder / "prints").glob("*.json")))
    assert paid == spent + refunded + settled + owed


def booth(folder, unit, **others):
    return opened(folder, unit=unit, **others)


@pytest.mark.parametrize("way", ["coins", "terminal"])
def test_a_paid_sheet_is_printed_and_spent(tmp_path, way):
    unit = SimulatedPayment(way, step_s=0.001)
    with booth(tmp_path, unit) as (loop, parts):
        go(loop, parts, "collect")
        assert parts.ledger.flush(LIMIT_S)
    balanced(tmp_path, unit, owed=50 if way == "coins" else 0)


@pytest.mark.parametrize("answer", ["declined", "fault", "lost", "other"])
def test_a_refused_or_unknown_payment_prints_nothing_and_the_next_try_is_charged_no_more_than_once(tmp_path, answer):
    unit = SimulatedPayment(step_s=0.001)
    with booth(tmp_path, unit) as (loop, parts):
        go(loop, parts, "copies")
        unit._answers.append(answer)
        go(loop, parts, "paying")
        go(loop, parts, "copies", ways={})
        assert not list((tmp_path / "prints").glob("*.json"))
        assert loop.session.still is not None, "the photo is kept"
        if answer == "lost":
            wait(loop, parts, lambda: loop.session.account.credit == PRICE)
        go(loop, parts, "collect")
        assert parts.ledger.flush(LIMIT_S)
        assert sum(booked.paid for booked in unit.books.values()) == PRICE
    balanced(tmp_path, unit)


def test_a_payment_that_is_never_answered_is_ended_and_prints_nothing(tmp_path):
    unit = SimulatedPayment(answers=["silent"], step_s=0.001)
    with booth(tmp_path, unit) as (loop, parts):
        go(loop, parts, "paying")
        go(loop, parts, "copies", ways={})
        assert loop.session.account.note in ("unknown", "cancelled")
        assert parts.ledger.flush(LIMIT_S)
    balanced(tmp_path, unit)


def test_an_approval_that_comes_after_the_cancellation_pays_for_the_next_print(tmp_path):
    unit = SimulatedPayment(answers=["late"], step_s=0.001)
    with booth(tmp_path, unit) as (loop, parts):
        go(loop, parts, "paying")
        loop._step(Intent("cancel"))
        go(loop, parts, "copies", ways={})
        assert loop.session.account.credit == PRICE
        go(loop, parts, "collect")
        assert parts.ledger.flush(LIMIT_S)
    assert len(unit.books) == 1
    balanced(tmp_path, unit)


def test_an_approval_that_comes_after_the_sitter_has_gone_is_paid_back(tmp_path):
    unit = SimulatedPayment(answers=["lost"], step_s=0.001)
    with booth(tmp_path, unit) as (loop, parts):
        go(loop, parts, "paying")
        go(loop, parts, "copies", ways={})
        loop._step(Intent("start_again"))
        wait(loop, parts, lambda: loop.session.state == "welcome" or loop.session.account.repaid)
        assert parts.ledger.flush(LIMIT_S)
        wait(loop, parts, lambda: money(tmp_path)[1] == PRICE)
    balanced(tmp_path, unit)


def test_nobody_pays_before_hearing_that_the_paper_is_out(tmp_path):
    unit, printer = SimulatedPayment(step_s=0.001), EmptyPrinter(tmp_path / "prints")
    printer.paper = True
    with booth(tmp_path, unit, printer=printer, idle_s=0.05) as (loop, parts):
        go(loop, parts, "review")
        printer.paper = False
        go(loop, parts, "copies")
        wait(loop, parts, lambda: loop.session.print_state == "failed")
        loop._step(Intent("print"))
        turn(loop, parts)
        assert (loop.session.state, unit.books) == ("copies", {})
        printer.paper = True
        wait(loop, parts, lambda: loop.session.print_state == "waiting")
        go(loop, parts, "collect")
        assert parts.ledger.flush(LIMIT_S)
    balanced(tmp_path, unit)


@pytest.mark.parametrize("fault", [PrinterFault, SheetUnknown])
@pytest.mark.parametrize("way", ["coins", "terminal"])
def test_a_failed_print_is_tried_again_for_nothing(tmp_path, fault, way):
    unit = SimulatedPayment(way, step_s=0.001)
    printer = FailingPrinter(tmp_path / "prints", fault)
    with booth(tmp_path, unit, printer=printer) as (loop, parts):
        go(loop, parts, "unprinted")
        asked = len(unit.books)
        loop._step(Intent("retry"))
        go(loop, parts, "collect")
        assert parts.ledger.flush(LIMIT_S)
    assert len(unit.books) == asked == 1
    balanced(tmp_path, unit, owed=50 if way == "coins" else 0)


@pytest.mark.parametrize("fault", [PrinterFault, SheetUnknown])
def test_a_failed_print_is_paid_back_to_the_card_when_its_sitter_leaves(tmp_path, fault):
    unit = SimulatedPayment(step_s=0.001)
    with booth(tmp_path, unit, printer=FailingPrinter(tmp_path / "prints", fault)) as (loop, parts):
        go(loop, parts, "unprinted")
        loop._step(Intent("start_again"))
        wait(loop, parts, lambda: loop.session.account.repaid is not None)
        assert (loop.session.state, loop.session.account.repaid) == ("money_back", True)
        assert parts.ledger.flush(LIMIT_S)
    assert money(tmp_path) == (PRICE, PRICE, 0, 0)
    balanced(tmp_path, unit)


def test_coins_that_bought_nothing_are_owed_until_the_attendant_pays_them_out(tmp_path):
    unit = SimulatedPayment("coins", step_s=0.001)
    printer = FailingPrinter(tmp_path / "prints", PrinterFault)
    with booth(tmp_path, unit, printer=printer, pin_hash=CHEAP_HASH) as (loop, parts):
        go(loop, parts, "unprinted")
        loop._step(Intent("start_again"))
        wait(loop, parts, lambda: loop.session.account.repaid is not None)
        code = loop.session.account.code
        assert (loop.session.account.repaid, loop.session.account.credit) == (False, 1000)
        assert parts.ledger.flush(LIMIT_S)
        balanced(tmp_path, unit, owed=1000)
    with booth(tmp_path, unit, pin_hash=CHEAP_HASH) as (loop, parts):
        wait(loop, parts, lambda: parts.desk.desk.owed)
        (bill,) = parts.desk.desk.owed
        assert (bill.code, bill.credit) == (code, 1000), "a restart forgets no debt"
        parts.desk.desk = parts.desk.desk.__class__(page="owed", owed=parts.desk.desk.owed)
        loop._order(DeskIntent("settle", bill.key))
        loop._order(DeskIntent("settle", bill.key))
        turn(loop, parts)
        assert parts.desk.desk.owed == ()
        assert parts.ledger.flush(LIMIT_S)
    assert money(tmp_path) == (1000, 0, 1000, 0)


def test_a_unit_that_cannot_take_money_closes_the_booth_until_it_can(tmp_path):
    unit = SimulatedPayment(answers=["fault"], step_s=0.001)
    with booth(tmp_path, unit) as (loop, parts):
        wait(loop, parts, lambda: loop.session.state == "out_of_order")
        unit._answers.clear()
        wait(loop, parts, lambda: loop.session.state == "welcome")


def test_a_reprint_by_the_attendant_costs_nobody_anything(tmp_path):
    unit = SimulatedPayment(step_s=0.001)
    with booth(tmp_path, unit, reprint_minutes=15) as (loop, parts):
        go(loop, parts, "collect")
        (sheet,) = parts.kept.offered()
        loop._sheets.send_again(sheet.key)
        wait(loop, parts, lambda: len(list((tmp_path / "prints").glob("*.json"))) == 2)
        assert parts.ledger.flush(LIMIT_S)
    assert money(tmp_path) == (PRICE, 0, 0, PRICE)
