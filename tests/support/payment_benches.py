"""Payment units with books of their own: what really happened to the money, whatever the booth was told."""

from __future__ import annotations

import contextlib
import json
import os
import pty
import subprocess
import sys
import threading
import time
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from kiosk.devices.base import PaymentUnit
from kiosk.devices.pulses.serial_line import SerialLine
from kiosk.devices.pulses.unit import PulseUnit
from kiosk.devices.sim.payment import SimulatedPayment
from kiosk.devices.terminal.unit import TerminalUnit
from kiosk.devices.terminal.wire import Wire
from tests.support.terminal_server import TOKEN

STEP_S = 0.002


@dataclass
class PaymentBench:
    """A unit, how it is made to behave at the next request, and what it has kept under a key."""

    unit: PaymentUnit
    obey: Callable[[str], None]
    kept: Callable[[str], int]
    again: Callable[[], PaymentUnit]
    """Opens the same unit as another process would, after the first has crashed."""


@contextlib.contextmanager
def simulated(way: Any, folder: Path) -> Iterator[PaymentBench]:
    """Return the simulated unit, with its books in a file."""
    unit = SimulatedPayment(way, step_s=STEP_S, memory=folder / "unit.json")

    def kept(key: str) -> int:
        booked = SimulatedPayment(way, memory=folder / "unit.json").books.get(key)
        return 0 if booked is None else booked.paid - booked.refunded

    yield PaymentBench(
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
        self._sitter = threading.Thread(target=self._throw, args=(key, count))
        self._sitter.start()

    def closed(self) -> None:
        """Let the coins fall that were thrown in before."""
        self._sitter.join()

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
        super().__init__(SerialLine(validator.path, byte=ord("p")), Validator.COIN // Validator.PULSES, falling_s=0.2)
        self._validator = validator

    def ask(self, charge: Any, taken: Any, stop: threading.Event) -> Any:
        """Let coins fall once the validator is open, and ask."""
        open_, self._line.accept = self._line.accept, self._accept  # type: ignore[method-assign]
        self._key, self._amount = charge.key, charge.amount
        try:
            return super().ask(charge, taken, stop)
        finally:
            self._line.accept = open_  # type: ignore[method-assign]

    def _accept(self, *, on: bool) -> None:
        if on:
            self._validator.asked(self._key, self._amount)
        else:
            self._validator.closed()

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


@contextlib.contextmanager
def pulses(folder: Path) -> Iterator[PaymentBench]:
    """Return a validator on a pseudo-terminal."""
    validator = Validator()
    unit = WatchedPulses(validator)
    yield PaymentBench(unit, unit.obey, lambda key: validator.books.get(key, 0), lambda: unit)


@contextlib.contextmanager
def terminal_at(folder: Path, *certificate: str) -> Iterator[int]:
    """Run the terminal in a process of its own, and return its port."""
    command = [sys.executable, "-m", "tests.support.terminal_server", str(folder), *certificate]
    with subprocess.Popen(command, cwd=Path(__file__).parents[2], stdout=subprocess.PIPE, text=True) as process:
        assert process.stdout is not None
        try:
            yield int(process.stdout.readline())
        finally:
            process.kill()


def wished(folder: Path, behaviour: str) -> None:
    """Have the terminal's next payment go so."""
    with (folder / "behaviours").open("a") as file:
        file.write(f"{behaviour}\n")


def booked(folder: Path) -> dict[str, dict[str, Any]]:
    """Return the terminal's own books."""
    path = folder / "books.json"
    return dict(json.loads(path.read_text())) if path.exists() else {}


def terminal_unit(port: int, limit_s: float = 30.0, silent_s: float = 0.1) -> TerminalUnit:
    """Return a unit that talks to it."""
    wire = Wire(f"http://127.0.0.1:{port}/", token=TOKEN, limit_s=limit_s)
    return TerminalUnit(wire, look_s=0.005, silent_s=silent_s)


@contextlib.contextmanager
def terminal(folder: Path) -> Iterator[PaymentBench]:
    """Return a terminal in another process."""
    with terminal_at(folder) as port:

        def kept(key: str) -> int:
            payment = booked(folder).get(key)
            return 0 if payment is None else int(payment["paid"] - payment["refunded"])

        yield PaymentBench(
            terminal_unit(port), lambda behaviour: wished(folder, behaviour), kept, lambda: terminal_unit(port)
        )
