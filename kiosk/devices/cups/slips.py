"""A receipt printer behind CUPS: a slip is printed now or not at all, and nothing of it stays with the print server.

A slip has no photo, so that neither scale nor colour needs a proof.
"""

from __future__ import annotations

import contextlib
from collections.abc import Callable, Mapping

from kiosk.core.base.geometry import Size
from kiosk.devices.cups.connection import Queue
from kiosk.devices.cups.job import JobWatch, Patience
from kiosk.devices.cups.media import QueueMedium
from kiosk.devices.cups.options import sheet_options
from kiosk.devices.cups.witness import Habits, witness_of
from kiosk.errors import PrinterFault
from kiosk.system.clock import Clock

PATIENCE = Patience(limit_s=30.0, obstacle_s=5.0, recall_s=10.0)
"""A receipt printer takes some seconds for a slip; its sitter does not wait long for it (practice)."""
_SAME_WIDTH_MM = 1.0
"""Drivers name the width of a roll to whole millimetres or points."""


class CupsSlipPrinter:
    """One queue; `print_slip` blocks until the slip has come out or was called back."""

    def __init__(self, queue: Queue, options: Mapping[str, str], clock: Clock, patience: Patience = PATIENCE) -> None:
        self._queue = queue
        self._options = options
        self._clock = clock
        self._patience = patience
        self._habits = Habits()

    @property
    def name(self) -> str:
        """The queue."""
        return self._queue.name

    def check(self, width_mm: float) -> None:
        """Return where a slip of that width could be printed now.

        Raises
        ------
        PrinterFault
            It could not, and why.
        """
        state = self._queue.state()
        if not state.accepting:
            raise self._fault("its queue takes no sheets")
        if state.stopped:
            raise self._fault("its queue is paused")
        self._medium(Size(width_mm, 0.0))

    def clear(self) -> None:
        """Call back what an earlier run has left in the queue: it would come out in front of somebody else."""
        for number in self._queue.leftovers():
            self._queue.remove(number)

    def print_slip(self, least_mm: Size, drawn: Callable[[Size], bytes]) -> None:
        """Print a slip on the shortest page of the driver that has its width and at least its length.

        Parameters
        ----------
        drawn
            Returns the PDF of the slip on a page of a size.

        Raises
        ------
        PrinterFault
            It did not come out, or nobody knows whether it did; it is not sent again.
        """
        self.check(least_mm.width)
        medium = self._medium(least_mm)
        pdf = drawn(medium.size_mm)
        witness = witness_of(self._queue.device(self._queue.state().device_uri), self._habits)
        watch = JobWatch(self._queue, self._clock, self._patience, witness)
        options = sheet_options(self._queue.driver(), medium, 1, self._patience.limit_s, self._options)
        number = self._queue.create(options)
        try:
            self._queue.send(number, pdf)
        except PrinterFault:
            with contextlib.suppress(PrinterFault):
                self._queue.remove(number)
            raise
        ended = watch.end_of(number)
        if ended.end != "printed":
            raise self._fault(ended.detail)

    def _medium(self, least_mm: Size) -> QueueMedium:
        """Return the page for a slip."""
        fitting = [
            medium
            for medium in self._queue.driver().media
            if abs(medium.size_mm.width - least_mm.width) <= _SAME_WIDTH_MM and medium.size_mm.height >= least_mm.height
        ]
        if not fitting:
            raise self._fault(f"its driver has no page {least_mm.width:g} mm wide and {least_mm.height:.0f} mm long")
        return min(fitting, key=lambda medium: medium.size_mm.height)

    def _fault(self, detail: str) -> PrinterFault:
        return PrinterFault(printer=self.name, detail=detail)
