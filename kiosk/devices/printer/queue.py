"""The print thread: one job in flight, the rest wait their turn, and the frame loop polls.

While it has nothing to print, the thread asks the printer whether it could: at the start, now and then, and after a
failure again and again. So the booth can say that the paper is used up before a sitter has sat down.
"""

from __future__ import annotations

import queue
import threading
from collections.abc import Callable

from kiosk.devices.base import DeviceFailed, DeviceReady, Printer, PrinterEvent, PrintJob, PrintStatus
from kiosk.errors import KioskError, PrinterFault

IDLE_S = 30.0
"""How often a printer that could print is asked whether it still could."""
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
    idle_s
        How often it is asked whether it still could, while there is nothing to print.
    before
        Called in the print thread before each sheet, and may block: where a sheet is counted before it is sent.
    """

    def __init__(
        self,
        printer: Printer,
        check_s: float = CHECK_S,
        idle_s: float = IDLE_S,
        before: Callable[[], object] = lambda: None,
    ) -> None:
        self._printer = printer
        self._before = before
        self._check_s = check_s
        self._idle_s = idle_s
        self._down = False
        self._said = ""
        self._jobs: queue.SimpleQueue[PrintJob | None] = queue.SimpleQueue()
        self._statuses: queue.SimpleQueue[PrinterEvent] = queue.SimpleQueue()
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

    def poll(self) -> list[PrinterEvent]:
        """Return what has changed since the last call, oldest first.

        `DeviceFailed` where a check of an idle printer fails, or fails for another reason; `DeviceReady` where a
        printer is mended.
        """
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
        self._check()
        while (job := self._next()) is not None:
            self._statuses.put(PrintStatus(job.key, "printing"))
            ended = self._print(job)
            self._down = ended.state == "failed"
            self._said = str(ended.error) if ended.error is not None else ""
            self._statuses.put(ended)

    def _next(self) -> PrintJob | None:
        """Wait for a job; meanwhile look after the printer."""
        while True:
            try:
                return self._jobs.get(timeout=self._check_s if self._down else self._idle_s)
            except queue.Empty:
                self._check()

    def _check(self) -> None:
        try:
            self._printer.check()
        except Exception as error:
            told = error if isinstance(error, KioskError) else self._unexpected(error)
            if not self._down or str(told) != self._said:
                self._statuses.put(DeviceFailed(told))
            self._down, self._said = True, str(told)
            return
        if self._down:
            self._down = False
            self._statuses.put(DeviceReady(self._printer.name))

    def _print(self, job: PrintJob) -> PrintStatus:
        try:
            self._before()
            return PrintStatus(job.key, "done", where=self._printer.print_sheet(job))
        except KioskError as error:
            return PrintStatus(job.key, "failed", error=error)
        except Exception as error:
            return PrintStatus(job.key, "failed", error=self._unexpected(error))

    def _unexpected(self, error: Exception) -> PrinterFault:
        return PrinterFault(printer=self._printer.name, detail=f"an unexpected {type(error).__name__}")
