"""What the screens show of a payment."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from kiosk.core.view.choice import Price

PaymentWay = Literal["coins", "terminal"]
"""A unit that takes coins, notes or tokens, or a card terminal."""

PaymentNote = Literal["", "declined", "cancelled", "failed", "unknown"]
"""Why nothing is printed: the unit said no, somebody ended it, it cannot be used, or nobody knows whether it was paid.
"""


@dataclass(frozen=True, slots=True)
class PaymentView:
    """A payment, and what becomes of money that bought nothing.

    Attributes
    ----------
    way
        How the booth is paid; None where it is not.
    due, paid
        What is still to be paid, and what the sitter has paid that is not used up; None where that is nothing.
    seconds_left
        How much longer the booth waits for the money; 0 while it does not.
    is_ending
        Whether the payment is being ended.
    note
        Why the last payment did not lead to a print.
    code
        What the sitter shows to the attendant if money is owed.
    repaid
        Whether the unit has paid the sitter's money back; None while that is not known.
    """

    way: PaymentWay | None = None
    due: Price | None = None
    paid: Price | None = None
    seconds_left: int = 0
    is_ending: bool = False
    note: PaymentNote = ""
    code: str = ""
    repaid: bool | None = None

    @property
    def icon(self) -> str:
        """The name of the icon that stands for the unit."""
        return "coins" if self.way == "coins" else "card"
