"""A validator as a payment unit: so many pulses, so much money, and nothing is paid back.

A validator has no memory and knows no key: what was counted is in the ledger, pulse by pulse, before it is shown. It is
open only while money is asked for; the pulses of a coin that is still falling when it is closed count as well.
"""

from __future__ import annotations

import logging
import threading
from typing import Protocol

from kiosk.core.view.payment import PaymentWay
from kiosk.devices.base import Charge, PaymentAnswer, Taken
from kiosk.errors import PaymentFault

LOOK_S = 0.1
"""How often it is looked whether the request is to end (this project's own choice)."""
FALLING_S = 1.0
"""How long no pulse must come until a coin or note is surely counted whole: validators give some ten pulses a second
for a note (from memory of their data sheets)."""

_log = logging.getLogger(__name__)


class PulseLine(Protocol):
    """The line on which pulses arrive. Every method may raise OSError, after which the line is opened anew."""

    @property
    def name(self) -> str:
        """The device file and what of it is used."""
        ...

    def open(self) -> None:
        """Open the line, with the validator closed; do nothing where it is open."""
        ...

    def accept(self, *, on: bool) -> None:
        """Open the validator, or close it, where it has a line for that."""
        ...

    def wait(self, limit_s: float) -> int:
        """Return how many pulses have come since the last call, as soon as there are any or the time is over."""
        ...

    def close(self) -> None:
        """Let go of the line."""
        ...


class PulseUnit:
    """A validator on a line.

    Parameters
    ----------
    line
        Where its pulses arrive.
    value
        What one pulse is worth, in minor units of the currency.
    """

    simulated = False
    way: PaymentWay = "coins"
    refunds = False

    def __init__(self, line: PulseLine, value: int, falling_s: float = FALLING_S) -> None:
        self._line = line
        self._value = value
        self._falling_s = falling_s

    @property
    def name(self) -> str:
        """The line."""
        return self._line.name

    def check(self) -> None:
        """Return where the line can be read; pulses that nobody was asked for are nobody's.

        Raises
        ------
        PaymentFault
            It cannot be read.
        """
        try:
            self._line.open()
            stray = self._line.wait(0.0)
        except OSError as error:
            raise self._fault(error) from error
        if stray:
            _log.error("%s: %d pulses came while nobody was asked for money; they pay for nothing", self.name, stray)

    def ask(self, charge: Charge, taken: Taken, stop: threading.Event) -> PaymentAnswer:
        """Count until there is enough or the request is to end.

        Raises
        ------
        PaymentFault
            The line cannot be read any more; what was counted stays counted.
        """
        self.check()
        paid = 0
        try:
            self._line.accept(on=True)
            try:
                while paid < charge.amount and not stop.is_set():
                    paid = self._count(paid, LOOK_S, taken)
            finally:
                self._line.accept(on=False)
            before = -1
            while paid != before:
                before = paid
                paid = self._count(paid, self._falling_s, taken)
        except OSError as error:
            raise self._fault(error) from error
        return PaymentAnswer(charge.key, "approved" if paid >= charge.amount else "cancelled", paid)

    def look_up(self, charge: Charge) -> PaymentAnswer:
        """Say that nothing more is known than what was counted."""
        return PaymentAnswer(charge.key, "cancelled")

    def refund(self, charge: Charge, amount: int) -> None:
        """Refuse: what has fallen into a cash box stays there."""
        raise PaymentFault(unit=self.name, detail="it cannot pay back")

    def close(self) -> None:
        """Let go of the line."""
        self._line.close()

    def _count(self, paid: int, limit_s: float, taken: Taken) -> int:
        pulses = self._line.wait(limit_s)
        if pulses:
            paid += pulses * self._value
            taken(paid)
        return paid

    def _fault(self, error: OSError) -> PaymentFault:
        self._line.close()
        return PaymentFault(unit=self.name, detail=str(error.strerror or error).lower())
