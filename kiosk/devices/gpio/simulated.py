"""A simulated GPIO chip: its lines obey, belong to one holder at a time, and fail on request.

It stands in for `gpiod.request_lines`, the lowest place at which a program can do without a chip.
"""

from __future__ import annotations

import errno
import os
from collections.abc import Mapping

import gpiod
from gpiod.line import Value

SIMULATED = "simulated"
"""The name of a simulated chip, where a real one has the path of its device file."""


class SimulatedChip:
    """A chip with a few lines.

    Parameters
    ----------
    names
        The names of its lines, by their offsets; an empty one has none.

    Attributes
    ----------
    high
        The offsets of the lines whose wire is high.
    on
        The offsets of the lines that are on, be it by a high wire or by a low one.
    held
        The offsets of the lines that somebody has requested.
    failing
        The number of the operating system's error with which everything fails from now on, or 0.
    """

    def __init__(self, names: tuple[str, ...] = ("",) * 32) -> None:
        self._names = names
        self.high: set[int] = set()
        self.on: set[int] = set()
        self.held: set[int] = set()
        self.failing = 0

    def request_lines(
        self, path: str, config: Mapping[int | str, gpiod.LineSettings], consumer: str
    ) -> SimulatedRequest:
        """Hand out one line, as `gpiod.request_lines` does.

        Raises
        ------
        OSError
            Somebody has the line, no line has the name, or the chip fails.
        ValueError
            There is no such offset.
        """
        self.check()
        ((line, settings),) = config.items()
        offset = self._offset(line)
        if offset in self.held:
            raise OSError(errno.EBUSY, os.strerror(errno.EBUSY))
        self.held.add(offset)
        request = SimulatedRequest(self, line, offset, active_low=settings.active_low)
        request.set_value(line, settings.output_value)
        return request

    def check(self) -> None:
        """Fail where failing was asked for."""
        if self.failing:
            raise OSError(self.failing, os.strerror(self.failing))

    def _offset(self, line: int | str) -> int:
        if isinstance(line, str):
            if line in self._names:
                return self._names.index(line)
            raise OSError(errno.ENOENT, os.strerror(errno.ENOENT))
        if not 0 <= line < len(self._names):
            raise ValueError("line offset of out range")
        return line


class SimulatedRequest:
    """One line of a simulated chip, held by one program; what `gpiod.LineRequest` is for a real chip."""

    def __init__(self, chip: SimulatedChip, line: int | str, offset: int, *, active_low: bool) -> None:
        self._chip = chip
        self._line = line
        self._offset = offset
        self._active_low = active_low

    def set_value(self, line: int | str, value: Value) -> None:
        """Set the line; the wire is high for an active line unless that is active when low."""
        self._chip.check()
        assert line == self._line
        is_on = value is Value.ACTIVE
        for offsets, belongs in ((self._chip.on, is_on), (self._chip.high, is_on != self._active_low)):
            (offsets.add if belongs else offsets.discard)(self._offset)

    def release(self) -> None:
        """Give the line back; its wire keeps its level."""
        self._chip.held.discard(self._offset)
