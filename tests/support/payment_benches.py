"""Payment units with books of their own: what really happened to the money, whatever the booth was told."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

from kiosk.devices.base import PaymentUnit
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
