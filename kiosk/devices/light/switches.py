"""The switches of lamps and flash, worked by a thread of their own: a chip on USB may be slow, and hang."""

from __future__ import annotations

import logging
import queue
import threading
import time
from dataclasses import dataclass

from kiosk.devices.gpio.line import OutputLine
from kiosk.errors import LineFault

CHECK_S = 2.0
"""How often both lines are set again, so that a chip that was pulled is noticed while nothing is switched."""
LATE_S = 0.1
"""A flash that is later than this stays dark: the shutter has closed, and nobody expects it any more."""
HUNG_S = 5.0
"""After so long a chip counts as hung; the time-outs of libusb's drivers are mostly 1 s to 5 s (from memory)."""

_log = logging.getLogger(__name__)


@dataclass(frozen=True, slots=True)
class Pulse:
    """How the flash is fired: how long after the order, and for how long its line is on, in seconds."""

    delay_s: float
    length_s: float


class Switches:
    """Lamps and flash; every method but `close` returns at once.

    Parameters
    ----------
    lamps
        The line of the lamps; None where they are switched by hand.
    flash
        The line of the flash; None where there is none, or the camera fires it.
    pulse
        How the flash is fired.
    """

    def __init__(
        self, lamps: OutputLine | None, flash: OutputLine | None = None, pulse: Pulse = Pulse(0.0, 0.0)
    ) -> None:
        self._lamps = lamps
        self._flash = flash
        self._pulse = pulse
        self._orders: queue.SimpleQueue[bool | float | None] = queue.SimpleQueue()
        self._fault: LineFault | None = None
        self._busy: tuple[OutputLine, float] | None = None
        self._thread: threading.Thread | None = None

    def start(self) -> None:
        """Take the lines, and switch them off, whatever a crash has left on."""
        if self._thread is None and (self._lamps or self._flash):
            self._thread = threading.Thread(target=self._work, name="light", daemon=True)
            self._thread.start()

    @property
    def fault(self) -> LineFault | None:
        """What is wrong with a line now; None while both obey."""
        busy = self._busy
        if busy is not None and time.monotonic() - busy[1] > HUNG_S:
            return busy[0].fault(f"its chip has not answered for {HUNG_S:g} s")
        return self._fault

    def light(self, on: bool) -> None:
        """Switch the lamps."""
        if self._lamps is not None:
            self._orders.put(on)

    def fire(self) -> None:
        """Fire the flash once its delay has passed."""
        if self._flash is not None:
            self._orders.put(time.monotonic() + self._pulse.delay_s)

    def close(self) -> None:
        """Switch everything off, and give the lines back; may be called twice."""
        if self._thread is not None:
            self._orders.put(None)
            self._thread.join(HUNG_S)
            self._thread = None

    def _work(self) -> None:
        on = False
        try:
            while True:
                self._set(on)
                try:
                    order = self._orders.get(timeout=CHECK_S)
                except queue.Empty:
                    continue
                if order is None:
                    return
                if isinstance(order, bool):
                    on = order
                else:
                    self._flash_at(order)
        finally:
            for line in filter(None, (self._flash, self._lamps)):
                line.close()

    def _set(self, on: bool) -> None:
        """Switch the flash's line off and the lamps' as they should be, and note what is wrong."""
        try:
            self._switch(self._flash, False)
            self._switch(self._lamps, on)
        except LineFault as fault:
            if str(fault) != str(self._fault):
                _log.warning("%s", fault)
            self._fault = fault
        else:
            self._fault = None

    def _flash_at(self, due_s: float) -> None:
        """Switch the flash's line on when it is due; whoever calls switches it off."""
        time.sleep(max(0.0, due_s - time.monotonic()))
        if time.monotonic() - due_s > LATE_S:
            _log.warning("the flash was not fired: its line was busy until it was too late")
            return
        try:
            self._switch(self._flash, True)
        except LineFault as fault:
            _log.warning("the flash was not fired: %s", fault)
        else:
            time.sleep(self._pulse.length_s)

    def _switch(self, line: OutputLine | None, on: bool) -> None:
        if line is None:
            return
        self._busy = line, time.monotonic()
        try:
            line.set(on)
        finally:
            self._busy = None
