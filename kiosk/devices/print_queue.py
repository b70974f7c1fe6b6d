"""The print thread: one job in flight, the rest wait their turn, and the frame loop polls.

After a failure the thread, while it has nothing to print, asks the printer again and again whether it could.
"""

from __future__ import annotations

import contextlib
import queue
import threading
from collections.abc import Callable

from kiosk.devices.base import DeviceReady, Printer, PrintJob, PrintStatus
from kiosk.errors import KioskError, PrinterFault

CHECK_S = 2.0
"""How often a printer that failed is asked whether it could print again."""


class PrintQueue:
    """Sheets on their way to one printer.

    Parameters
    ----------
    printer
        That of the booth.
    check_s
        How often it is asked whether it could print again, after it failed.
    before
        Called in the print thread before each sheet, and may block: where a sheet is counted before it is sent.
    """

    def __init__(self, printer: Printer, check_s: float = CHECK_S, before: Callable[[], object] = lambda: None) -> None:
        self._printer = printer
        self._before = before
        self._check_s = check_s
        self._down = False
        self._jobs: queue.SimpleQueue[PrintJob | None] = queue.SimpleQueue()
        self._statuses: queue.SimpleQueue[PrintStatus | DeviceReady] = queue.SimpleQueue()
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

    def poll(self) -> list[PrintStatus | DeviceReady]:
        """Return what has changed since the last call, oldest first; `DeviceReady` where a printer is mended."""
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
        while (job := self._next()) is not None:
            self._statuses.put(PrintStatus(job.key, "printing"))
            self._before()
            ended = self._print(job)
            self._down = ended.state == "failed"
            self._statuses.put(ended)

    def _next(self) -> PrintJob | None:
        """Wait for a job; meanwhile look after a printer that failed."""
        while self._down:
            try:
                return self._jobs.get(timeout=self._check_s)
            except queue.Empty:
                self._check()
        return self._jobs.get()

    def _check(self) -> None:
        with contextlib.suppress(KioskError):
            self._printer.check()
            self._down = False
            self._statuses.put(DeviceReady(self._printer.name))

    def _print(self, job: PrintJob) -> PrintStatus:
        try:
            return PrintStatus(job.key, "done", where=self._printer.print_sheet(job))
        except KioskError as error:
            return PrintStatus(job.key, "failed", error=error)
        except Exception as error:
            fault = PrinterFault(printer=self._printer.name, detail=f"an unexpected {type(error).__name__}")
            return PrintStatus(job.key, "failed", error=fault)
