"""The print thread: one job in flight, the rest wait their turn, and the frame loop polls.

While it has nothing to print, the thread asks the printer whether it could: at the start, now and then, and after a
failure again and again. So the booth can say that the paper is used up before a sitter has sat down.
"""

from __future__ import annotations

import queue
import threading
import time
from collections.abc import Callable

from kiosk.devices.base import DeviceFailed, DeviceNotice, DeviceReady, Printer, PrinterEvent, PrintJob, PrintStatus
from kiosk.errors import ColourUnproven, KioskError, PrinterFault, ScaleUnproven, SheetUnknown

IDLE_S = 30.0
"""The interval between checks of a printer that was able to print at the last one."""
CHECK_S = 2.0
"""The interval between checks of a printer that has failed."""
HOLD_S = 180.0
"""The longest time for which a sheet is held for its sitter, enough to load paper or change a ribbon (own choice)."""


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
    hold_s
        How long a sheet that somebody waits for is held, where the printer has surely not printed it.
    before
        Called in the print thread before each sheet, and may block: where a sheet is counted before it is sent.
    """

    def __init__(
        self,
        printer: Printer,
        check_s: float = CHECK_S,
        idle_s: float = IDLE_S,
        hold_s: float = HOLD_S,
        before: Callable[[], object] = lambda: None,
    ) -> None:
        self._printer = printer
        self._before = before
        self._check_s = check_s
        self._idle_s = idle_s
        self._hold_s = hold_s
        self._down = False
        self._said = ""
        self._notice = ""
        self._jobs: queue.SimpleQueue[PrintJob | None] = queue.SimpleQueue()
        self._statuses: queue.SimpleQueue[PrinterEvent] = queue.SimpleQueue()
        self._closing = False
        self._closed = threading.Event()
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
        printer is mended; `DeviceNotice` where what it wants to be looked at for has changed.
        """
        changes = []
        while not self._statuses.empty():
            changes.append(self._statuses.get())
        return changes

    def close(self, limit_s: float = 10.0) -> bool:
        """Print what was submitted, take no more, and return whether it was all done within `limit_s`."""
        if not self._closing:
            self._closing = True
            self._closed.set()
            self._jobs.put(None)
        self._thread.join(limit_s)
        return not self._thread.is_alive()

    def _work(self) -> None:
        self._check()
        while self._print_next():
            pass

    def _print_next(self) -> bool:
        """Print the next sheet and return whether there was one; no part of it stays in memory."""
        job = self._next()
        if job is None:
            return False
        self._statuses.put(PrintStatus(job.key, "printing"))
        ended = self._print(job)
        if job.is_awaited and ended.state == "failed":
            ended = self._held(job, ended)
        self._down = ended.state == "failed"
        self._said = str(ended.error) if ended.error is not None else ""
        self._statuses.put(ended)
        return True

    def _held(self, job: PrintJob, ended: PrintStatus) -> PrintStatus:
        """Hold a sheet that surely was not printed until the printer could print, and send it again."""
        lost, said, left_s = ended.error, "", self._hold_s
        while left_s > 0 and _is_lost(lost):
            if str(lost) != said:
                said = str(lost)
                self._statuses.put(PrintStatus(job.key, "held", error=lost))
            asked_s = time.monotonic()
            if self._closed.wait(self._check_s):
                break
            fault = self._obstacle()
            left_s -= max(self._check_s, time.monotonic() - asked_s)
            if fault is not None:
                lost = fault
                continue
            self._statuses.put(PrintStatus(job.key, "printing"))
            ended = self._print(job)
            if ended.state == "done":
                return ended
            lost, said = ended.error, ""
        return PrintStatus(job.key, "failed", error=lost)

    def _next(self) -> PrintJob | None:
        """Wait for a job, and check the printer meanwhile."""
        while True:
            try:
                return self._jobs.get(timeout=self._check_s if self._down else self._idle_s)
            except queue.Empty:
                self._check()

    def _check(self) -> None:
        obstacle = self._obstacle()
        if obstacle is not None:
            if not self._down or str(obstacle) != self._said:
                self._statuses.put(DeviceFailed(obstacle))
            self._down, self._said = True, str(obstacle)
        elif self._down:
            self._down = False
            self._statuses.put(DeviceReady(self._printer.name))

    def _obstacle(self) -> KioskError | None:
        """Return why the printer could not print now, or None where it could."""
        try:
            self._printer.check()
        except Exception as error:
            return error if isinstance(error, KioskError) else self._unexpected(error)
        finally:
            self._tell_notice()
        return None

    def _tell_notice(self) -> None:
        if self._printer.notice != self._notice:
            self._notice = self._printer.notice
            self._statuses.put(DeviceNotice(self._notice))

    def _print(self, job: PrintJob) -> PrintStatus:
        """Print a sheet; after an unforeseen error it counts as one that may have come out."""
        try:
            self._before()
            return PrintStatus(job.key, "done", where=self._printer.print_sheet(job))
        except KioskError as error:
            return PrintStatus(job.key, "failed", error=error.with_traceback(None))
        except Exception as error:
            detail = str(self._unexpected(error).params["detail"])
            return PrintStatus(job.key, "failed", error=SheetUnknown(printer=self._printer.name, detail=detail))
        finally:
            self._tell_notice()

    def _unexpected(self, error: Exception) -> PrinterFault:
        return PrinterFault(printer=self._printer.name, detail=f"an unexpected {type(error).__name__}")


def _is_lost(error: KioskError | None) -> bool:
    """Return whether a sheet surely was not printed, for a reason that may pass while its sitter waits."""
    return isinstance(error, PrinterFault) and not isinstance(error, SheetUnknown | ScaleUnproven | ColourUnproven)
