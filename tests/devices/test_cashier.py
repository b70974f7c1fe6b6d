"""The cashier writes before it shows, never asks while money may be taken, and asks again for what is unknown."""

import time
from contextlib import contextmanager
from types import SimpleNamespace

import pytest

from kiosk.core.session.payment_facts import PaymentAsked, PaymentEnded, PaymentRefunded, PaymentTaken
from kiosk.devices.base import (
    Charge,
    DeviceFailed,
    DeviceReady,
    PaymentAnswer,
    PaymentMoved,
    PaymentOutcome,
    RefundOutcome,
)
from kiosk.devices.payment.cashier import Cashier
from kiosk.devices.sim.payment import SimulatedPayment
from kiosk.errors import PaymentFault, PaymentUnknown

CHARGE = Charge("k1", 950, "EUR")
LIMIT_S = 60.0


@contextmanager
def open_cashier(unit, note=None):
    written = []

    def keep(facts):
        written.extend(facts)
        return True

    cashier = Cashier(unit, note or keep, check_s=0.005, idle_s=0.01)
    cashier.written = written
    yield cashier
    cashier.close()


def until(cashier, found):
    """Return all events up to the first that `found` accepts."""
    events, end_s = [], time.monotonic() + LIMIT_S
    while not any(map(found, events)):
        assert time.monotonic() < end_s, events
        events += cashier.poll()
        time.sleep(0.001)
    return events


def ended(key, *ends):
    return lambda event: isinstance(event, PaymentOutcome) and event.key == key and event.end in ends


def test_the_request_is_on_disk_before_the_unit_hears_of_it_and_each_coin_before_it_is_shown():
    unit = SimulatedPayment("coins", step_s=0.001)
    happened = []
    real = unit.ask

    def ask(charge, taken, stop):
        happened.append("asked")
        return real(charge, taken, stop)

    unit.ask = ask

    def note(facts):
        happened.extend(facts)
        return True

    with open_cashier(unit, note) as cashier:
        shown = cashier._events
        cashier._events = SimpleNamespace(
            put=lambda event: (happened.append(event), shown.put(event)), get=shown.get, empty=shown.empty
        )
        cashier.ask(CHARGE, "k1")
        until(cashier, ended("k1", "approved"))
    coins = [
        step for paid in (200, 400, 600, 800, 1000) for step in (PaymentTaken("k1", paid), PaymentMoved("k1", paid))
    ]
    assert happened == [
        PaymentAsked("k1", "k1", 950, "EUR"),
        "asked",
        *coins,
        PaymentEnded("k1", "approved"),
        PaymentOutcome("k1", "approved"),
    ]


def test_without_a_ledger_nobody_is_asked_for_money():
    unit = SimulatedPayment(step_s=0.001)
    with open_cashier(unit, lambda facts: False) as cashier:
        cashier.ask(CHARGE, "k1")
        until(cashier, ended("k1", "failed"))
    assert unit.books == {}


@pytest.mark.parametrize("answer", ["lost", "other"])
def test_what_is_unknown_is_asked_again_until_it_is_known(answer):
    unit = SimulatedPayment(answers=[answer], step_s=0.001)
    with open_cashier(unit) as cashier:
        cashier.ask(CHARGE, "k1")
        events = until(cashier, ended("k1", "approved", "cancelled"))
    assert [event.end for event in events if isinstance(event, PaymentOutcome)] == [
        "unknown",
        "approved" if answer == "lost" else "cancelled",
    ]
    paid = sum(fact.paid for fact in cashier.written if isinstance(fact, PaymentTaken))
    assert paid == sum(booked.paid for booked in unit.books.values()), "another payment's answer is never used"


def test_nobody_is_asked_while_an_earlier_payment_is_unknown():
    unit = SimulatedPayment(answers=["lost"], step_s=0.001)
    answers, unit.look_up = unit.look_up, None

    def silent(charge):
        raise PaymentUnknown(unit="it", detail="it does not answer")

    unit.look_up = silent
    with open_cashier(unit) as cashier:
        cashier.ask(CHARGE, "k1")
        until(cashier, ended("k1", "unknown"))
        cashier.ask(Charge("k2", 950, "EUR"), "k2")
        until(cashier, ended("k2", "failed"))
        assert "k2" not in unit.books
        unit.look_up = answers
        until(cashier, ended("k1", "approved"))
        cashier.ask(Charge("k3", 950, "EUR"), "k3")
        until(cashier, ended("k3", "approved"))


def test_a_cancellation_reaches_a_request_that_still_waits_its_turn():
    unit = SimulatedPayment(answers=["silent"], step_s=0.001)
    with open_cashier(unit) as cashier:
        cashier.ask(CHARGE, "k1")
        cashier.ask(Charge("k2", 950, "EUR"), "k2")
        cashier.cancel("k2")
        cashier.cancel("k1")
        until(cashier, ended("k2", "cancelled"))
    assert unit.books["k2"].paid == 0


def test_closing_ends_the_request_and_leaves_its_end_to_the_next_start():
    unit = SimulatedPayment(answers=["silent"], step_s=0.001)
    with open_cashier(unit) as cashier:
        cashier.ask(CHARGE, "k1")
        while not cashier.written:
            time.sleep(0.001)
    assert cashier.written == [PaymentAsked("k1", "k1", 950, "EUR")]
    with open_cashier(unit) as later:
        later.look_up(CHARGE, 0)
        until(later, ended("k1", "cancelled"))


@pytest.mark.parametrize("wrong", [PaymentUnknown(unit="it", detail="no answer"), RuntimeError("a fault of its own")])
def test_a_refund_whose_answer_is_lost_is_asked_for_again_and_made_once(wrong):
    unit = SimulatedPayment(step_s=0.001)
    real, failures = unit.refund, [wrong]

    def refund(charge, amount):
        real(charge, amount)
        if failures:
            raise failures.pop()

    unit.refund = refund
    with open_cashier(unit) as cashier:
        cashier.ask(CHARGE, "k1")
        until(cashier, ended("k1", "approved"))
        cashier.refund(CHARGE, 300, 0)
        until(cashier, lambda event: event == RefundOutcome("k1", 300, is_done=True))
    assert unit.books["k1"].refunded == 300
    assert cashier.written[-1] == PaymentRefunded("k1", 300)


def test_a_refused_refund_is_said_and_not_written():
    unit = SimulatedPayment("coins", step_s=0.001)
    with open_cashier(unit) as cashier:
        cashier.ask(CHARGE, "k1")
        until(cashier, ended("k1", "approved"))
        cashier.refund(CHARGE, 300, 0)
        until(cashier, lambda event: event == RefundOutcome("k1", 0, is_done=False))
    assert not any(isinstance(fact, PaymentRefunded) for fact in cashier.written)


def test_a_unit_that_cannot_take_money_is_reported_once_and_when_it_is_well_again():
    unit = SimulatedPayment(answers=["fault"], step_s=0.001)
    with open_cashier(unit) as cashier:
        events = until(cashier, lambda event: isinstance(event, DeviceFailed))
        time.sleep(0.05)
        unit._answers.clear()
        events += until(cashier, lambda event: isinstance(event, DeviceReady))
    assert [type(event) for event in events] == [DeviceFailed, DeviceReady]
    assert isinstance(events[0].error, PaymentFault)


def test_an_unforeseen_error_counts_as_money_that_may_be_taken():
    unit = SimulatedPayment(step_s=0.001)

    def ask(charge, taken, stop):
        taken(200)
        raise RuntimeError

    unit.ask = ask
    unit.look_up = lambda charge: PaymentAnswer(charge.key, "cancelled", 0)
    with open_cashier(unit) as cashier:
        cashier.ask(CHARGE, "k1")
        until(cashier, ended("k1", "cancelled"))
    assert PaymentTaken("k1", 200) in cashier.written
    assert PaymentTaken("k1", 0) not in cashier.written, "coins that were counted stay counted"
