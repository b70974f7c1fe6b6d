"""The money on its way: what each sitter has paid, what sheets it bought, and what is given back of it.

Money is spent by a sheet that has surely come out, and by nothing else. What is left when a sitter has gone is paid
back by the unit, or else stays open until an attendant pays it out; so it is after a crash with what the ledger has.
"""

from __future__ import annotations

import secrets
from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace
from typing import Any, Literal

from kiosk.booth.health.payment import PaymentHealth
from kiosk.core.base.ticket import Ticket
from kiosk.core.session.bill import Bill, Payment, PaymentEnd
from kiosk.core.session.commands import AskPayment
from kiosk.core.session.events import Event, MoneyCame, MoneyReturned, PaymentOver
from kiosk.core.session.facts import Ledger
from kiosk.core.session.payment_facts import BillSettled
from kiosk.devices.base import Charge, DeviceFailed, DeviceReady, PaymentMoved, PaymentOutcome, RefundOutcome
from kiosk.devices.payment.cashier import Cashier


@dataclass
class _Open:
    """A bill that is not balanced yet.

    Attributes
    ----------
    ticket
        That of its last payment; None for one of an earlier run.
    is_left
        Whether its sitter has gone.
    refunding
        The payments that the unit is paying back.
    is_owed
        Whether only an attendant can still pay it out.
    """

    bill: Bill
    ticket: Ticket | None = None
    is_left: bool = False
    refunding: frozenset[str] = frozenset()
    is_owed: bool = False


class PaymentTracker:
    """Every bill that is not balanced; for the frame loop's thread alone.

    Parameters
    ----------
    cashier, ledger
        Of the booth.
    left_open
        Returns the bills that an earlier run has left open, once the ledger could be read.
    health
        The unit's.
    """

    def __init__(
        self,
        cashier: Cashier,
        ledger: Ledger,
        left_open: Callable[[], tuple[Bill, ...] | None],
        health: PaymentHealth,
    ) -> None:
        self._cashier = cashier
        self._ledger = ledger
        self._left_open: Callable[[], tuple[Bill, ...] | None] | None = left_open
        self._health = health
        self._bills: dict[str, _Open] = {}
        self._current = ""
        self._key = ""
        self._refused: Ticket | None = None

    @property
    def simulated(self) -> bool:
        """Whether no money moves."""
        return self._cashier.unit.simulated

    @property
    def bill(self) -> str:
        """The key of the sitter's bill; empty while there is none."""
        return self._current

    def owed(self) -> tuple[Bill, ...]:
        """Return what an attendant is to pay out, oldest first."""
        return tuple(each.bill for each in self._bills.values() if each.is_owed)

    def ask(self, wanted: AskPayment) -> None:
        """Ask the unit for money on the sitter's own bill, unless an earlier request may still turn out to be paid."""
        key = self._key = secrets.token_hex(8)
        if not self._current:
            self._current = key
            self._bills[key] = _Open(Bill(key, wanted.currency))
        entry = self._bills[self._current]
        entry.ticket = wanted.ticket
        if any(payment.end is None for payment in entry.bill.payments):
            self._refused = wanted.ticket
            return
        entry.bill = entry.bill.with_payment(Payment(key, wanted.amount))
        self._cashier.ask(Charge(key, wanted.amount, wanted.currency), self._current)

    def cancel(self) -> None:
        """End the request that is under way."""
        self._cashier.cancel(self._key)

    def sheet_sent(self, sheet: str, price: int) -> None:
        """Count on a sheet that the sitter's bill pays for, once it has come out."""
        if self._current:
            entry = self._bills[self._current]
            entry.bill = entry.bill.sent(sheet, price)

    def sheet_ended(self, sheet: str, *, printed: bool) -> Iterator[Event]:
        """Spend the money for a printed sheet."""
        for entry in tuple(self._bills.values()):
            if any(key == sheet for key, _ in entry.bill.pending):
                entry.bill = entry.bill.sheet_ended(sheet, printed=printed)
                yield from self._came(entry)
                yield from self._give_back(entry)

    def session_ended(self) -> None:
        """Let go of the sitter's bill; what is left of it is given back with the next events."""
        if self._current:
            self._cashier.cancel(self._key)
            self._bills[self._current].is_left = True
        self._current = ""

    def settle(self, bill: str) -> None:
        """Balance a bill that an attendant has paid out."""
        entry = self._bills.get(bill)
        if entry is not None and entry.is_owed:
            self._ledger.put(BillSettled(bill, entry.bill.credit))
            del self._bills[bill]

    def events(self) -> Iterator[Event]:
        """Yield what the unit has said to the session."""
        self._take_over()
        if self._refused is not None:
            yield PaymentOver(self._refused, "unknown")
            self._refused = None
        for event in self._cashier.poll():
            match event:
                case PaymentMoved(key, paid):
                    yield from self._changed(key, paid=paid)
                case PaymentOutcome(key, "unknown"):
                    yield from self._over(key, "unknown")
                case PaymentOutcome(key, "failed"):
                    yield from self._changed(key, end="cancelled")
                    yield from self._over(key, "failed")
                case PaymentOutcome(key, end):
                    yield from self._changed(key, end=end)
                    yield from self._over(key, end)
                case RefundOutcome(key, refunded, is_done):
                    yield from self._refunded(key, refunded, is_done=is_done)
                case DeviceFailed() | DeviceReady():
                    yield from self._health.heard(event)
        for entry in tuple(self._bills.values()):
            yield from self._give_back(entry)

    def _take_over(self) -> None:
        """Take over what an earlier run has left open, and find out how its requests ended."""
        bills = self._left_open() if self._left_open is not None else None
        if bills is None:
            return
        self._left_open = None
        for bill in bills:
            self._bills[bill.key] = _Open(bill, is_left=True)
            for payment in bill.payments:
                if payment.end is None:
                    self._cashier.look_up(_charge(bill, payment), payment.paid)

    def _changed(self, key: str, **changes: Any) -> Iterator[Event]:
        entry, payment = self._of(key)
        if entry is not None and payment is not None:
            entry.bill = entry.bill.with_payment(replace(payment, **changes))
            yield from self._came(entry)

    def _over(self, key: str, end: PaymentEnd | Literal["failed", "unknown"]) -> Iterator[Event]:
        entry, _ = self._of(key)
        if entry is not None and entry.ticket is not None and key == self._key:
            yield PaymentOver(entry.ticket, end)

    def _came(self, entry: _Open) -> Iterator[Event]:
        if entry.ticket is not None:
            yield MoneyCame(entry.ticket, entry.bill.credit, entry.bill.code)

    def _refunded(self, key: str, refunded: int, *, is_done: bool) -> Iterator[Event]:
        entry, payment = self._of(key)
        if entry is None or payment is None:
            return
        entry.bill = entry.bill.with_payment(replace(payment, refunded=refunded))
        entry.refunding -= {key}
        entry.is_owed = entry.is_owed or not is_done
        if entry.ticket is not None and not entry.refunding:
            yield MoneyReturned(entry.ticket, by_unit=not entry.is_owed)

    def _give_back(self, entry: _Open) -> Iterator[Event]:
        """Give back what is left once the sitter has gone and nothing is under way; forget a bill that is balanced."""
        bill = entry.bill
        if not entry.is_left or not bill.is_certain or entry.refunding or entry.is_owed:
            return
        if bill.credit <= 0:
            del self._bills[bill.key]
        elif self._cashier.unit.refunds:
            for payment, amount in bill.refunds():
                entry.refunding |= {payment.key}
                self._cashier.refund(_charge(bill, payment), amount, payment.refunded)
        else:
            entry.is_owed = True
            if entry.ticket is not None:
                yield MoneyReturned(entry.ticket, by_unit=False)

    def _of(self, key: str) -> tuple[_Open | None, Payment | None]:
        """Return the open bill with the payment of that key, and the payment."""
        for entry in self._bills.values():
            payment = entry.bill.payment(key)
            if payment is not None:
                return entry, payment
        return None, None


def _charge(bill: Bill, payment: Payment) -> Charge:
    return Charge(payment.key, payment.asked, bill.currency)
