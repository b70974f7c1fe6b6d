"""Payment units with books of their own: what really happened to the money, whatever the booth was told."""

from __future__ import annotations

import os
import pty
import threading
import time
from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

from kiosk.devices.base import PaymentUnit
from kiosk.devices.pulses.serial_line import SerialLine
from kiosk.devices.pulses.unit import PulseUnit
from kiosk.devices.sim.payment import SimulatedPayment

STEP_S = 0.002


@dataclass
class PaymentBench:
    """A unit, how it is made to behave at the next request, and what it has kept under a key."""

    unit: PaymentUnit
    obey: Callable[[str], None]
    kept: Callable[[str], int]
    again: Callable[[], PaymentUnit]
    """Opens the same unit as another process would, after the first has crashed."""


def simulated(way: Any, folder: Any) -> PaymentBench:
    """Return the simulated unit, with its books in a file."""
    unit = SimulatedPayment(way, step_s=STEP_S, memory=folder / "unit.json")

    def kept(key: str) -> int:
        booked = SimulatedPayment(way, memory=folder / "unit.json").books.get(key)
        return 0 if booked is None else booked.paid - booked.refunded

    return PaymentBench(
        unit,
        unit._answers.append,
        kept,
        lambda: SimulatedPayment(way, step_s=STEP_S, memory=folder / "unit.json"),
    )


class Validator:
    """Somebody before a coin validator: coins fall as the unit is asked, each a byte on a real pseudo-terminal.

    Every coin is in its books before its pulses are on the line.
    """

    COIN, PULSES = 200, 4

    def __init__(self) -> None:
        self.books: dict[str, int] = {}
        self.behaviours: list[str] = []
        self.falls = True
        self._ours, theirs = pty.openpty()
        self.path = os.ttyname(theirs)
        self._theirs = theirs

    def asked(self, key: str, amount: int) -> None:
        """Throw in coins until it is enough, in a thread, as the next behaviour says."""
        behaviour = self.behaviours.pop(0) if self.behaviours else "approved"
        count = {"silent": 0, "late": 1, "declined": 1}.get(behaviour, -(-amount // self.COIN))
        threading.Thread(target=self._throw, args=(key, count), daemon=True).start()

    def _throw(self, key: str, count: int) -> None:
        for _ in range(count):
            time.sleep(STEP_S)
            self.books[key] = self.books.get(key, 0) + self.COIN
            os.write(self._ours, b"p" * self.PULSES)

    def close(self) -> None:
        """Take the line away."""
        for end in (self._ours, self._theirs):
            os.close(end)


class WatchedPulses(PulseUnit):
    """The real unit, which lets the validator know whom the coins are for."""

    def __init__(self, validator: Validator) -> None:
        super().__init__(SerialLine(validator.path, byte=ord("p")), Validator.COIN // Validator.PULSES, falling_s=0.05)
        self._validator = validator

    def ask(self, charge: Any, taken: Any, stop: threading.Event) -> Any:
        """Let coins fall, and ask."""
        ends = self._validator.behaviours[:1] == ["declined"]
        self.check()
        self._validator.asked(charge.key, charge.amount)
        if ends:
            threading.Timer(0.1, stop.set).start()
        return super().ask(charge, taken, stop)

    def obey(self, behaviour: str) -> None:
        """Behave so at the next request; the line of a broken one has gone already."""
        if behaviour == "fault":
            self._line.close()
            self._line._path += "-gone"  # type: ignore[attr-defined]
        else:
            self._validator.behaviours.append(behaviour)

    def close(self) -> None:
        """Take the line away too."""
        super().close()
        self._validator.close()


def pulses(folder: Any) -> PaymentBench:
    """Return a validator on a pseudo-terminal."""
    validator = Validator()
    unit = WatchedPulses(validator)
    return PaymentBench(unit, unit.obey, lambda key: validator.books.get(key, 0), lambda: unit)
