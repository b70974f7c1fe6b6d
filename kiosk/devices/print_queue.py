"""The print thread: one job in flight, the rest wait their turn, and the frame loop polls."""

from __future__ import annotations

import queue
import threading

from kiosk.devices.base import Printer, PrintJob, PrintStatus
from kiosk.errors import KioskError, PrinterFault


class PrintQueue:
    """Sheets on their way to one printer."""

    def __init__(self, printer: Printer) -> None:
        self._printer = printer
        self._jobs: queue.SimpleQueue[PrintJob | None] = queue.SimpleQueue()
        self._statuses: queue.SimpleQueue[PrintStatus] = queue.SimpleQueue()
        self._closing = False
        self._thread = threading.Thread(target=self._work, name="print queue", daemon=True)
        self._thread.start()

    def submit(self, job: PrintJob) -> None:
        """Put a sheet at the end of the queue; after `close` it fails at once."""
        if self._closing:
            fault = PrinterFault(printer=self._printer.name, detail="it takes no more sheets")
            self._statuses.put(PrintStatus(job.key, "failed", error=fault))
            return
        self._statuses.put(PrintStatus(job.key, "waiting"))
        self._jobs.put(job)

    def poll(self) -> list[PrintStatus]:
        """Return what has changed since the last call, oldest first."""
        changes = []
        while not self._statuses.empty():
            changes.append(self._statuses.get())
        return changes

    def close(self, limit_s: float = 10.0) -> bool:
        """Print what was submitted, take no more, and tell whether it was all done within `limit_s`."""
        if not self._closing:
            self._closing = True
            self._jobs.put(None)
        self._thread.join(limit_s)
        return not self._thread.is_alive()

    def _work(self) -> None:
        while (job := self._jobs.get()) is not None:
            self._statuses.put(PrintStatus(job.key, "printing"))
            self._statuses.put(self._print(job))

    def _print(self, job: PrintJob) -> PrintStatus:
        try:
            return PrintStatus(job.key, "done", where=self._printer.print_sheet(job))
        except KioskError as error:
            return PrintStatus(job.key, "failed", error=error)
        except Exception as error:
            fault = PrinterFault(printer=self._printer.name, detail=f"an unexpected {type(error).__name__}")
            return PrintStatus(job.key, "failed", error=fault)
