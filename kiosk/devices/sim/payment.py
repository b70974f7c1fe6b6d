"""A simulated payment unit: it obeys, or fails as it is told to, and keeps its own books.

As a card terminal it remembers every key, so that a charge is made once however often it is asked for. As a coin unit
it takes coins one by one and pays nothing back.
"""

from __future__ import annotations

import json
import threading
from collections.abc import Iterable
from dataclasses import asdict, dataclass
from pathlib import Path

from kiosk.core.session.bill import PaymentEnd
from kiosk.core.view.payment import PaymentWay
from kiosk.devices.base import Charge, PaymentAnswer, Taken
from kiosk.errors import PaymentFault, PaymentUnknown
from kiosk.settings.payment import SimulatedAnswer
from kiosk.system.atomic_files import write_whole

STEP_S = 1.0
"""How long a simulated sitter needs for a coin or a card (invented)."""
COIN = 200
"""The coin of a simulated sitter, in minor units: two euros or pounds."""


@dataclass
class Booked:
    """What the unit did under one key."""

    end: PaymentEnd = "cancelled"
    paid: int = 0
    refunded: int = 0


class SimulatedPayment:
    """A unit whose books are true whatever becomes of the booth.

    Parameters
    ----------
    way
        Coins or a card terminal.
    answers
        How it behaves, request by request; afterwards it approves.
    step_s
        How long a coin or a card takes.
    memory
        A file for its books, which then outlast the process; in memory without one.
    """

    simulated = True

    def __init__(
        self,
        way: PaymentWay = "terminal",
        answers: Iterable[SimulatedAnswer] = (),
        step_s: float = STEP_S,
        memory: Path | None = None,
    ) -> None:
        self.way = way
        self.refunds = way == "terminal"
        self._answers = list(answers)
        self._step_s = step_s
        self._memory = memory
        self.books: dict[str, Booked] = {}
        if memory is not None and memory.exists():
            self.books = {key: Booked(**booked) for key, booked in json.loads(memory.read_text()).items()}

    @property
    def name(self) -> str:
        """What it is."""
        return f"simulated {self.way}"

    def check(self) -> None:
        """Return, unless the next request finds it broken."""
        if self._answers[:1] == ["fault"]:
            raise self._fault()

    def ask(self, charge: Charge, taken: Taken, stop: threading.Event) -> PaymentAnswer:
        """Behave as the next of the answers says."""
        behaviour = self._answers.pop(0) if self._answers else "approved"
        if behaviour == "fault":
            raise self._fault()
        if charge.key in self.books:
            return self.look_up(charge)
        if behaviour in ("silent", "late"):
            stop.wait()
        elif self.way == "coins":
            return self._coins(charge, taken, stop, behaviour)
        elif stop.wait(self._step_s):
            return self._booked(charge, "cancelled", 0)
        match behaviour:
            case "silent":
                raise PaymentUnknown(unit=self.name, detail="it does not answer")
            case "declined":
                return self._booked(charge, "declined", 0)
            case "lost":
                self._booked(charge, "approved", charge.amount)
                raise PaymentUnknown(unit=self.name, detail="the connection was lost")
            case "other":
                return PaymentAnswer(f"not-{charge.key}", "approved", charge.amount)
        return self._booked(charge, "approved", charge.amount)

    def look_up(self, charge: Charge) -> PaymentAnswer:
        """Return what is in the books; a key that is not there was never charged."""
        booked = self.books.get(charge.key, Booked())
        return PaymentAnswer(charge.key, booked.end, booked.paid)

    def refund(self, charge: Charge, amount: int) -> None:
        """Pay back once."""
        booked = self.books.get(charge.key)
        if not self.refunds or booked is None or amount > booked.paid:
            raise PaymentFault(unit=self.name, detail="it cannot pay that back")
        if not booked.refunded:
            booked.refunded = amount
            self._save()

    def close(self) -> None:
        """Do nothing."""

    def _coins(self, charge: Charge, taken: Taken, stop: threading.Event, behaviour: SimulatedAnswer) -> PaymentAnswer:
        """Take coins until there are enough; one that declines has taken one coin."""
        paid = 0
        while paid < charge.amount:
            if stop.wait(self._step_s):
                return self._booked(charge, "cancelled", paid)
            if behaviour == "declined" and paid:
                return self._booked(charge, "declined", paid)
            paid += COIN
            self._booked(charge, "cancelled", paid)
            taken(paid)
        return self._booked(charge, "approved", paid)

    def _booked(self, charge: Charge, end: PaymentEnd, paid: int) -> PaymentAnswer:
        self.books[charge.key] = Booked(end, paid)
        self._save()
        return PaymentAnswer(charge.key, end, paid)

    def _save(self) -> None:
        if self._memory is not None:
            content = json.dumps({key: asdict(booked) for key, booked in self.books.items()})
            write_whole(self._memory, content.encode())

    def _fault(self) -> PaymentFault:
        return PaymentFault(unit=self.name, detail="it was told to fail")
