"""The money of one sitter: what was asked for, what came, what it paid for, and what is still to be given back.

All amounts are whole minor units of the currency (ISO 4217), as a payment unit counts them.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from typing import Literal

PaymentEnd = Literal["approved", "declined", "cancelled"]
"""What a payment unit answers in the end."""

CODE_LETTERS = 5
"""How many letters of a bill's key a sitter copies from the screen: a million codes, and few bills are open."""


@dataclass(frozen=True, slots=True)
class Payment:
    """One request to the payment unit, by its key.

    Attributes
    ----------
    asked, paid, refunded
        How much was asked for, how much the unit has taken, and how much of that it has paid back.
    end
        How it ended; None while it runs or nobody knows.
    """

    key: str
    asked: int
    paid: int = 0
    refunded: int = 0
    end: PaymentEnd | None = None


@dataclass(frozen=True, slots=True)
class Bill:
    """All payments of one sitter, under the key of the first.

    Attributes
    ----------
    spent
        The price of the sheets that have come out.
    settled
        What the attendant has paid out.
    pending
        Key and price of the sheets that are with the printer.
    """

    key: str
    currency: str
    payments: tuple[Payment, ...] = ()
    spent: int = 0
    settled: int = 0
    pending: tuple[tuple[str, int], ...] = ()

    @property
    def code(self) -> str:
        """What the sitter shows to the attendant."""
        return self.key[:CODE_LETTERS].upper()

    @property
    def credit(self) -> int:
        """What the sitter has paid and neither used up nor got back."""
        moved = sum(payment.paid - payment.refunded for payment in self.payments)
        return moved - self.spent - self.settled

    @property
    def is_certain(self) -> bool:
        """Whether no payment is under way or unknown, and no sheet is with the printer."""
        return not self.pending and all(payment.end is not None for payment in self.payments)

    def payment(self, key: str) -> Payment | None:
        """Return the payment with a key, or None."""
        return next((payment for payment in self.payments if payment.key == key), None)

    def with_payment(self, payment: Payment) -> Bill:
        """Return the bill with a payment added, or changed if its key is known."""
        others = tuple(payment if other.key == payment.key else other for other in self.payments)
        return replace(self, payments=others if payment in others else (*others, payment))

    def sent(self, sheet: str, price: int) -> Bill:
        """Return the bill after a sheet was given to the printer."""
        return replace(self, pending=(*self.pending, (sheet, price)))

    def sheet_ended(self, sheet: str, *, printed: bool) -> Bill:
        """Return the bill after a sheet has ended; only one that was surely printed is paid for."""
        price = sum(price for key, price in self.pending if key == sheet and printed)
        left = tuple(each for each in self.pending if each[0] != sheet)
        return replace(self, pending=left, spent=self.spent + price)

    def refunds(self) -> Iterator[tuple[Payment, int]]:
        """Yield the payments from which the credit is paid back, the last one first, each with its amount."""
        left = self.credit
        for payment in reversed(self.payments):
            amount = min(left, payment.paid - payment.refunded)
            if amount > 0:
                left -= amount
                yield payment, amount
