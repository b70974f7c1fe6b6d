"""The thread of the receipt printer: one slip after the other, each at once or not at all."""

from __future__ import annotations

import queue
import threading
from collections.abc import Callable
from dataclasses import dataclass
from typing import Protocol

from kiosk.core.base.geometry import Size
from kiosk.errors import KioskError, PrinterFault
from kiosk.system.clock import Clock

LATE_S = 60.0
"""A slip that has waited for so long is not printed any more: its sitter has gone, and somebody else would find it."""


class SlipPrinter(Protocol):
    """A receipt printer seen from its thread, where it may block."""

    @property
    def name(self) -> str:
        """The queue."""
        ...

    def clear(self) -> None:
        """Call back what an earlier run has left.

        Raises
        ------
        PrinterFault
            The print server does not answer.
        """
        ...

    def print_slip(self, least_mm: Size, drawn: Callable[[Size], bytes]) -> None:
        """Print a slip of at least a size, which is drawn on the page that the printer has.

        Raises
        ------
        PrinterFault
            It did not come out.
        """
        ...


class PrintedSlip(Protocol):
    """What is printed."""

    @property
    def least_mm(self) -> Size:
        """The width, and the least length."""
        ...

    def pdf(self, page_mm: Size) -> bytes:
        """Return it on a page."""
        ...


@dataclass(frozen=True, slots=True)
class _Waiting:
    make: Callable[[], PrintedSlip]
    since_s: float


class SlipQueue:
    """Slips on their way to one receipt printer; nothing that fails there is sent again."""

    def __init__(self, printer: SlipPrinter, clock: Clock) -> None:
        self._printer = printer
        self._clock = clock
        self._waiting: queue.SimpleQueue[_Waiting | None] = queue.SimpleQueue()
        self._faults: queue.SimpleQueue[KioskError] = queue.SimpleQueue()
        self._thread = threading.Thread(target=self._work, name="receipts", daemon=True)
        self._thread.start()

    def submit(self, make: Callable[[], PrintedSlip]) -> None:
        """Print what `make` returns, which is called in the printer's thread."""
        self._waiting.put(_Waiting(make, self._clock.now_s()))

    def poll(self) -> list[KioskError]:
        """Return why slips did not come out since the last call."""
        faults = []
        while not self._faults.empty():
            faults.append(self._faults.get())
        return faults

    def close(self, limit_s: float = 10.0) -> None:
        """Print what was submitted, for `limit_s` at most; what is left then is called back at the next start."""
        self._waiting.put(None)
        self._thread.join(limit_s)

    def _work(self) -> None:
        self._try(self._printer.clear)
        while (waiting := self._waiting.get()) is not None:
            if self._clock.now_s() - waiting.since_s > LATE_S:
                late = f"a receipt waited for more than {LATE_S:g} s and was given up"
                self._faults.put(PrinterFault(printer=self._printer.name, detail=late))
                continue
            self._print(waiting.make)

    def _print(self, make: Callable[[], PrintedSlip]) -> None:
        def at_once() -> None:
            slip = make()
            self._printer.print_slip(slip.least_mm, slip.pdf)

        self._try(at_once)

    def _try(self, act: Callable[[], None]) -> None:
        """Do something, and keep why it failed; whatever it is, the thread goes on."""
        try:
            act()
        except KioskError as error:
            self._faults.put(error.with_traceback(None))
        except Exception as error:
            detail = f"an unexpected {type(error).__name__}"
            self._faults.put(PrinterFault(printer=self._printer.name, detail=detail))
