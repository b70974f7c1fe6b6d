"""Pulses on an input of a GPIO chip, by the kernel's own count of edges.

The kernel numbers the edges of a line, so that none is lost where more come than its buffer holds. An output opens the
validator; when the process ends, the kernel lets go of it, and a resistor on the board must then close the validator.
"""

from __future__ import annotations

import errno
from collections.abc import Iterable
from datetime import timedelta

import gpiod
from gpiod.line import Bias, Direction, Edge, Value

DEBOUNCE = timedelta(milliseconds=5)
"""How long a level must hold: longer than a relay bounces, shorter than any validator's pulse (practice)."""
CONSUMER = "holdstill-coins"
"""The name under which `gpioinfo` shows who has the line."""


class GpioLine:
    """A validator on a GPIO chip.

    Parameters
    ----------
    chip
        The device file.
    line
        The input's number on it.
    active_low
        Whether a pulse pulls the input to ground, as an open collector does.
    enable_line
        The output that opens the validator; None where there is none.
    """

    def __init__(self, chip: str, line: int, *, active_low: bool = True, enable_line: int | None = None) -> None:
        self._chip = chip
        self._line = line
        self._active_low = active_low
        self._enable_line = enable_line
        self._counted = 0
        self._request: gpiod.LineRequest | None = None

    @property
    def name(self) -> str:
        """The chip and the line."""
        return f"{self._chip} line {self._line}"

    def open(self) -> None:
        """Take the lines, for this process alone."""
        if self._request is not None:
            return
        lines: dict[Iterable[int | str] | int | str, gpiod.LineSettings | None] = {
            self._line: gpiod.LineSettings(
                direction=Direction.INPUT,
                edge_detection=Edge.RISING,
                bias=Bias.PULL_UP if self._active_low else Bias.PULL_DOWN,
                active_low=self._active_low,
                debounce_period=DEBOUNCE,
            )
        }
        if self._enable_line is not None:
            lines[self._enable_line] = gpiod.LineSettings(direction=Direction.OUTPUT, output_value=Value.INACTIVE)
        self._request = gpiod.request_lines(self._chip, consumer=CONSUMER, config=lines)
        self._counted = 0

    def accept(self, *, on: bool) -> None:
        """Drive the output."""
        if self._enable_line is not None:
            self._opened.set_value(self._enable_line, Value.ACTIVE if on else Value.INACTIVE)

    def wait(self, limit_s: float) -> int:
        """Return the rising edges by the number of the last one."""
        request, before = self._opened, self._counted
        if request.wait_edge_events(timedelta(seconds=limit_s)):
            self._counted = max(event.line_seqno for event in request.read_edge_events())
        return self._counted - before

    def close(self) -> None:
        """Let go of the lines."""
        if self._request is not None:
            self._request.release()
            self._request = None

    @property
    def _opened(self) -> gpiod.LineRequest:
        if self._request is None:
            raise OSError(errno.EBADF, "the line is closed")
        return self._request
