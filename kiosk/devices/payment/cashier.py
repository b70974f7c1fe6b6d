"""The cashier's thread: one request to the payment unit at a time, each on disk before its money moves.

The order is what makes the ledger balance after a power cut: a request is on disk before the unit hears of it, and what
was taken or paid back is on disk before anybody is shown it. A request whose end is unknown is looked up by its key
before another is made, and again and again while nothing else is to be done.
"""

from __future__ import annotations

import logging
import queue
import threading
from collections.abc import Callable
from functools import partial

from kiosk.core.session.facts import Fact
from kiosk.core.session.payment_facts import PaymentAsked, PaymentEnded, PaymentRefunded, PaymentTaken
from kiosk.devices.base import (
    Charge,
    DeviceFailed,
    DeviceReady,
    PaymentAnswer,
    PaymentEvent,
    PaymentMoved,
    PaymentOutcome,
    PaymentUnit,
    RefundOutcome,
)
from kiosk.errors import KioskError, PaymentFault, PaymentUnknown

IDLE_S = 30.0
"""The interval between checks of a unit that could take money at the last one."""
CHECK_S = 2.0
"""The interval between checks of a unit that has failed or owes an answer."""

Note = Callable[[tuple[Fact, ...]], bool]
"""Puts facts into the ledger and returns whether they are on disk; may block."""

Job = Callable[[], None]
"""What the cashier's thread does for one request."""

_log = logging.getLogger(__name__)


class Cashier:
    """Requests on their way to one payment unit.

    Parameters
    ----------
    unit
        That of the booth.
    note
        Where facts are written.
    check_s, idle_s
        How often the unit is asked whether it could take money, after it failed and otherwise.
    """

    def __init__(self, unit: PaymentUnit, note: Note, check_s: float = CHECK_S, idle_s: float = IDLE_S) -> None:
        self._unit = unit
        self._note = note
        self._check_s = check_s
        self._idle_s = idle_s
        self._said = ""
        self._jobs: queue.SimpleQueue[Job | None] = queue.SimpleQueue()
        self._events: queue.SimpleQueue[PaymentEvent] = queue.SimpleQueue()
        self._stops: dict[str, threading.Event] = {}
        self._unknown: dict[str, Job] = {}
        self._unrefunded: dict[str, Job] = {}
        self._closing = threading.Event()
        self._thread = threading.Thread(target=self._work, name="cashier", daemon=True)
        self._thread.start()

    @property
    def unit(self) -> PaymentUnit:
        """The unit; only what never changes of it may be read from another thread."""
        return self._unit

    def ask(self, charge: Charge, bill: str) -> None:
        """Ask for money; `PaymentOutcome` follows."""
        stop = self._stops[charge.key] = threading.Event()
        self._jobs.put(partial(self._ask, charge, bill, stop))

    def cancel(self, key: str) -> None:
        """End a request; its outcome follows all the same."""
        if key in self._stops:
            self._stops[key].set()

    def look_up(self, charge: Charge, paid: int) -> None:
        """Find out how a request ended that an earlier run has begun, and of which so much is known to be taken."""
        self._jobs.put(partial(self._find, charge, paid))

    def refund(self, charge: Charge, amount: int, before: int) -> None:
        """Pay back so much of a charge, beside what was paid back before; `RefundOutcome` follows."""
        self._jobs.put(partial(self._pay_back, charge, amount, before))

    def poll(self) -> list[PaymentEvent]:
        """Return what has changed since the last call, oldest first."""
        changes = []
        while not self._events.empty():
            changes.append(self._events.get())
        return changes

    def close(self, limit_s: float = 10.0) -> None:
        """End a request that is under way, and let go of the unit."""
        self._closing.set()
        for stop in tuple(self._stops.values()):
            stop.set()
        self._jobs.put(None)
        self._thread.join(limit_s)

    def _work(self) -> None:
        self._check()
        while (job := self._next()) is not None:
            job()
        self._unit.close()

    def _next(self) -> Job | None:
        while True:
            hurries = self._said or self._unknown or self._unrefunded
            try:
                return self._jobs.get(timeout=self._check_s if hurries else self._idle_s)
            except queue.Empty:
                self._check()
                self._ask_again()

    def _ask_again(self) -> None:
        """Find out what is unknown, as far as the unit says."""
        for job in (*self._unknown.values(), *self._unrefunded.values()):
            if not self._closing.is_set():
                job()

    def _ask(self, charge: Charge, bill: str, stop: threading.Event) -> None:
        self._ask_again()
        if self._unknown or self._closing.is_set():
            self._stops.pop(charge.key, None)
            self._events.put(PaymentOutcome(charge.key, "failed"))
            return
        counted = [0]

        def taken(paid: int) -> None:
            self._count(charge.key, paid, counted)

        asked = PaymentAsked(charge.key, bill, charge.amount, charge.currency)
        try:
            if not self._note((asked,)):
                raise PaymentFault(unit=self._unit.name, detail="the ledger cannot be written")
            answer = self._unit.ask(charge, taken, stop)
            self._answered(charge, answer, counted)
        except PaymentUnknown as error:
            self._is_unknown(charge, counted[0], error)
        except KioskError as error:
            self._fail(error)
            self._note((PaymentEnded(charge.key, "cancelled"),))
            self._events.put(PaymentOutcome(charge.key, "failed"))
        except Exception as error:
            self._is_unknown(charge, counted[0], self._unexpected(error))
        finally:
            self._stops.pop(charge.key, None)

    def _find(self, charge: Charge, paid: int) -> None:
        try:
            self._answered(charge, self._unit.look_up(charge), [paid])
        except KioskError as error:
            self._is_unknown(charge, paid, error)
        except Exception as error:
            self._is_unknown(charge, paid, self._unexpected(error))

    def _answered(self, charge: Charge, answer: PaymentAnswer, counted: list[int]) -> None:
        """Write the answer down and pass it on; one for another charge is none."""
        if answer.key != charge.key:
            raise PaymentUnknown(unit=self._unit.name, detail="it has answered for another payment")
        self._count(charge.key, answer.paid, counted)
        self._note((PaymentEnded(charge.key, answer.end),))
        self._unknown.pop(charge.key, None)
        self._well()
        self._events.put(PaymentOutcome(charge.key, answer.end))

    def _count(self, key: str, paid: int, counted: list[int]) -> None:
        if paid > counted[0]:
            counted[0] = paid
            self._note((PaymentTaken(key, paid),))
            self._events.put(PaymentMoved(key, paid))

    def _pay_back(self, charge: Charge, amount: int, before: int) -> None:
        key, again = charge.key, partial(self._pay_back, charge, amount, before)
        try:
            self._unit.refund(charge, amount)
        except PaymentUnknown as error:
            self._unrefunded[key] = again
            self._fail(error)
        except KioskError as error:
            self._unrefunded.pop(key, None)
            self._fail(error)
            self._events.put(RefundOutcome(key, before, is_done=False))
        except Exception as error:
            self._unrefunded[key] = again
            self._fail(self._unexpected(error))
        else:
            self._unrefunded.pop(key, None)
            self._note((PaymentRefunded(key, before + amount),))
            self._well()
            self._events.put(RefundOutcome(key, before + amount, is_done=True))

    def _is_unknown(self, charge: Charge, paid: int, error: KioskError) -> None:
        if charge.key not in self._unknown:
            self._events.put(PaymentOutcome(charge.key, "unknown"))
        self._unknown[charge.key] = partial(self._find, charge, paid)
        self._fail(error)

    def _check(self) -> None:
        try:
            self._unit.check()
        except KioskError as error:
            self._fail(error)
        except Exception as error:
            self._fail(self._unexpected(error))
        else:
            self._well()

    def _fail(self, error: KioskError) -> None:
        if str(error) != self._said:
            _log.warning("%s", error)
            self._events.put(DeviceFailed(error.with_traceback(None)))
        self._said = str(error)

    def _well(self) -> None:
        if self._said:
            self._said = ""
            self._events.put(DeviceReady(self._unit.name))

    def _unexpected(self, error: Exception) -> PaymentUnknown:
        return PaymentUnknown(unit=self._unit.name, detail=f"an unexpected {type(error).__name__}")
