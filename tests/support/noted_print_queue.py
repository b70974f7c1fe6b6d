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
    """

    def __init__(self, printer: Printer, **settings: Any) -> None:
        self.submitted: list[str] = []
        self._is_at_work = True
        super().__init__(printer, **settings)

    def submit(self, job: PrintJob) -> None:
        """Put a sheet at the end of the queue, and note its key."""
        self.submitted.append(job.key)
        super().submit(job)

    @property
    def is_idle(self) -> bool:
        """Whether it has no sheet."""
        return not self._is_at_work and self._jobs.empty()

    def _next(self) -> PrintJob | None:
        self._is_at_work = False
        job = super()._next()
        self._is_at_work = True
        return job
