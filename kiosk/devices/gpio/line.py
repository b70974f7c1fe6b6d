"""One output of a GPIO chip, such as a relay's coil or an optocoupler's diode.

The line belongs to this process from the first `set` to `close`, and is switched off by both. The kernel takes it back
when the process dies, and leaves the level to the chip's driver: most keep it, some turn the line into an input
(libgpiod gives no promise, from memory). Only the wiring decides what then happens.
"""

from __future__ import annotations

import contextlib
from collections.abc import Callable
from dataclasses import dataclass
from typing import Protocol

import gpiod
from gpiod.line import Direction, Value

from kiosk.errors import LineFault, os_reason

CONSUMER = "holdstill"
"""What `gpioinfo` shows as the line's user."""


@dataclass(frozen=True, slots=True)
class LineAddress:
    """Where a line is, in the words of libgpiod.

    Attributes
    ----------
    chip
        The chip's device file.
    line
        The line's name on that chip, or its offset.
    active_low
        Whether it is on when it is pulled low, as with most relay boards.
    """

    chip: str
    line: int | str
    active_low: bool = False


class LineRequest(Protocol):
    """What this module needs of a `gpiod.LineRequest`; both methods may block and raise `OSError`."""

    def set_value(self, line: int | str, value: Value) -> None:
        """Set the logical value of a line."""
        ...

    def release(self) -> None:
        """Give the line back to the kernel."""
        ...


RequestLines = Callable[..., LineRequest]
"""`gpiod.request_lines`, or what a simulated chip has in its place."""


class OutputLine:
    """A line that is switched on and off; every method but the constructor may block.

    A line that failed is requested again by the next `set`, so that a chip that was unplugged can come back.

    Parameters
    ----------
    address
        Where it is.
    request
        How it is requested from the chip.
    """

    def __init__(self, address: LineAddress, request: RequestLines = gpiod.request_lines) -> None:
        self._address = address
        self._request_lines = request
        self._request: LineRequest | None = None

    def set(self, on: bool) -> None:
        """Switch the line; the first time it is switched off before.

        Raises
        ------
        LineFault
            The chip is missing, has no such line, or does not obey; or another program has the line.
        """
        try:
            if self._request is None:
                self._request = self._requested()
            self._request.set_value(self._address.line, Value.ACTIVE if on else Value.INACTIVE)
        except OSError as error:
            self._give_back()
            raise self.fault(os_reason(error)) from error
        except ValueError as error:
            raise self.fault("the chip has no such line") from error

    def close(self) -> None:
        """Switch the line off, as far as it obeys, and give it back; may be called twice."""
        if self._request is not None:
            with contextlib.suppress(OSError):
                self._request.set_value(self._address.line, Value.INACTIVE)
            self._give_back()

    def fault(self, detail: str) -> LineFault:
        """Return what is wrong with it as an error."""
        return LineFault(line=self._address.line, chip=self._address.chip, detail=detail)

    def _requested(self) -> LineRequest:
        settings = gpiod.LineSettings(
            direction=Direction.OUTPUT, active_low=self._address.active_low, output_value=Value.INACTIVE
        )
        return self._request_lines(self._address.chip, {self._address.line: settings}, consumer=CONSUMER)

    def _give_back(self) -> None:
        if self._request is not None:
            self._request.release()
            self._request = None
