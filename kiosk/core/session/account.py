"""What a session knows of its sitter's money, and what a booth asks for."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import ROUND_HALF_UP, Decimal

from kiosk.core.base.ticket import Ticket
from kiosk.core.view.choice import Price
from kiosk.core.view.payment import PaymentNote, PaymentWay


@dataclass(frozen=True, slots=True)
class PaymentTerms:
    """How a booth is paid.

    Attributes
    ----------
    way
        Whether the unit takes coins, notes or tokens, or is a card terminal.
    digits
        How many decimals the currency has (ISO 4217).
    """

    way: PaymentWay
    digits: int = 2

    def minor(self, price: Price) -> int:
        """Return a price in minor units of its currency."""
        return int(price.amount.scaleb(self.digits).to_integral_value(ROUND_HALF_UP))

    def price(self, minor: int, currency: str) -> Price:
        """Return an amount in minor units as a price."""
        return Price(Decimal(minor).scaleb(-self.digits), currency)


@dataclass(frozen=True, slots=True)
class Account:
    """The sitter's money, in minor units of the currency.

    Attributes
    ----------
    price, credit
        What the chosen sheets cost, and what the sitter has paid that is not used up.
    ticket
        That of the last payment that was asked for; None before the first.
    code
        What the sitter shows to the attendant if money is owed.
    is_ending
        Whether the payment unit was asked to end, and has not answered yet.
    note
        Why the last payment did not lead to a print, for the sitter.
    repaid
        Whether the unit has paid the credit back; None while that is not known.
    """

    price: int = 0
    credit: int = 0
    ticket: Ticket | None = None
    code: str = ""
    is_ending: bool = False
    note: PaymentNote = ""
    repaid: bool | None = None

    @property
    def due(self) -> int:
        """What is still to be paid."""
        return max(self.price - self.credit, 0)
