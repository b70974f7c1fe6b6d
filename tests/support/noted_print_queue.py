"""The booth's print queue, looked into from outside."""

from __future__ import annotations

from typing import Any

from kiosk.devices.base import Printer, PrintJob
from kiosk.devices.printer.queue import PrintQueue


class NotedPrintQueue(PrintQueue):
    """A print queue that notes what it was given.

    Attributes
    ----------
    submitted
        The keys of the sheets that were given to it.
    looks
        How often it has looked at the printer while it had nothing to print, and told what it found.
    """

    def __init__(self, printer: Printer, **settings: Any) -> None:
        self.submitted: list[str] = []
        self.looks = 0
        self._given = self._taken = 0
        self._is_at_work = True
        super().__init__(printer, **settings)

    def submit(self, job: PrintJob) -> None:
        """Put a sheet at the end of the queue, and note its key."""
        self.submitted.append(job.key)
        self._given += not self._closing
        super().submit(job)

    @property
    def is_idle(self) -> bool:
        """Whether it has no sheet."""
        return not self._is_at_work and self._given == self._taken

    @property
    def is_down(self) -> bool:
        """Whether the printer has failed, and is looked at again and again."""
        return self._down

    def _next(self) -> PrintJob | None:
        self._is_at_work = False
        job = super()._next()
        self._is_at_work = True
        self._taken += job is not None
        return job

    def _check(self) -> None:
        super()._check()
        self.looks += 1
