"""The facts of money: what was asked, taken and paid back, in minor units of the currency (ISO 4217).

A payment may end, and a bill be settled, when its sitter has long gone.
"""

from __future__ import annotations

from dataclasses import dataclass

from kiosk.core.session.bill import PaymentEnd


@dataclass(frozen=True, slots=True)
class PaymentAsked:
    """An amount, in minor units of the currency (ISO 4217), is about to be asked of the payment unit.

    `bill` is the key of the sitter's first payment.
    """

    key: str
    bill: str
    amount: int
    currency: str


@dataclass(frozen=True, slots=True)
class PaymentTaken:
    """What the payment unit has taken under a key, altogether."""

    key: str
    paid: int


@dataclass(frozen=True, slots=True)
class PaymentEnded:
    """The payment of that key ended."""

    key: str
    end: PaymentEnd


@dataclass(frozen=True, slots=True)
class PaymentRefunded:
    """What the payment unit has paid back of a payment, altogether."""

    key: str
    refunded: int


@dataclass(frozen=True, slots=True)
class BillSettled:
    """The attendant has paid out what a bill owed."""

    bill: str
    amount: int


PaymentFact = PaymentAsked | PaymentTaken | PaymentEnded | PaymentRefunded | BillSettled
