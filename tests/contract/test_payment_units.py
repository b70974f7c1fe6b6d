"""What every payment unit promises (`kiosk.devices.base.PaymentUnit`)."""

from __future__ import annotations

import contextlib
import threading
import time
from contextlib import closing
from functools import partial

import pytest

from kiosk.devices.base import Charge
from kiosk.errors import PaymentFault, PaymentUnknown
from tests.support.payment_benches import pulses, simulated, terminal

CHARGE = Charge("00c0ffee", 950, "EUR")
BENCHES = {
    "simulated terminal": partial(simulated, "terminal"),
    "simulated coins": partial(simulated, "coins"),
    "validator on a serial line": pulses,
    "terminal on the network": terminal,
}


@pytest.fixture(params=BENCHES)
def bench(request, tmp_path):
    with BENCHES[request.param](tmp_path) as bench, closing(bench.unit):
        yield bench


def ask(bench, charge=CHARGE, stop=None):
    counted = []
    answer = bench.unit.ask(charge, counted.append, stop or threading.Event())
    assert counted == sorted(counted), "what was counted never becomes less"
    assert not counted or counted[-1] <= answer.paid
    return answer


def stopped_when(condition):
    stop = threading.Event()

    def wait():
        while not condition():
            time.sleep(0.001)
        stop.set()

    threading.Thread(target=wait, daemon=True).start()
    return stop


def test_what_is_approved_was_taken(bench):
    bench.unit.check()
    answer = ask(bench)
    assert (answer.key, answer.end) == (CHARGE.key, "approved")
    assert answer.paid == bench.kept(CHARGE.key) >= CHARGE.amount


def test_the_same_key_is_charged_once(bench):
    first = ask(bench)
    assert bench.unit.look_up(CHARGE).paid <= first.paid == bench.kept(CHARGE.key)
    if bench.unit.way == "terminal":
        assert ask(bench) == first
        assert bench.kept(CHARGE.key) == first.paid


def test_what_is_declined_says_what_stays_taken(bench):
    bench.obey("declined")
    stop = threading.Event()
    threading.Timer(0.1, stop.set).start()
    answer = ask(bench, stop=stop)
    assert answer.end in ("declined", "cancelled"), "a validator returns a coin without a word"
    assert answer.paid == bench.kept(CHARGE.key) < CHARGE.amount


def test_a_request_ends_when_it_is_to_end(bench):
    bench.obey("silent")
    stop = threading.Event()
    stop.set()
    try:
        answer = ask(bench, stop=stop)
    except PaymentUnknown:
        answer = bench.again().look_up(CHARGE)
    assert (answer.end, answer.paid) == ("cancelled", bench.kept(CHARGE.key))


def test_an_approval_that_came_too_late_still_says_what_was_taken(bench):
    bench.obey("late")
    stop = stopped_when(lambda: True)
    answer = ask(bench, stop=stop)
    assert answer.paid == bench.kept(CHARGE.key)


def test_an_answer_that_is_lost_is_looked_up_by_its_key_even_by_another_process(bench):
    if bench.unit.way == "coins":
        pytest.skip("a coin unit has no memory: what was counted is in the ledger")
    bench.obey("lost")
    with contextlib.suppress(PaymentUnknown):
        ask(bench)
    answer = bench.again().look_up(CHARGE)
    assert (answer.end, answer.paid, bench.kept(CHARGE.key)) == ("approved", 950, 950)


def test_a_key_that_was_never_asked_for_took_nothing(bench):
    answer = bench.unit.look_up(Charge("never", 950, "EUR"))
    assert (answer.end, answer.paid) == ("cancelled", 0)


def test_money_is_paid_back_once_or_refused(bench):
    ask(bench)
    if not bench.unit.refunds:
        with pytest.raises(PaymentFault):
            bench.unit.refund(CHARGE, 950)
        return
    for unit in (bench.unit, bench.unit, bench.again()):
        unit.refund(CHARGE, 950)
    assert bench.kept(CHARGE.key) == 0


def test_nothing_is_paid_back_that_was_not_paid(bench):
    with pytest.raises(PaymentFault):
        bench.unit.refund(Charge("never", 950, "EUR"), 950)


def test_a_broken_unit_says_so_before_anybody_is_asked(bench):
    bench.obey("fault")
    with pytest.raises(PaymentFault) as refused:
        bench.unit.check()
    assert not isinstance(refused.value, PaymentUnknown)
    with pytest.raises(PaymentFault):
        ask(bench)
    assert bench.kept(CHARGE.key) == 0
