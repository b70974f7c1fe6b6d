"""A job watched to its end: what becomes of a sheet, by what the server and the printer say together.

`completed` alone proves little: CUPS 2.4.2 says it of one in several sheets that the printer gave up, because two
threads of its backend ask for the job's state and only one looks for `aborted`; and of a printer that was switched
off and on in the middle. So the printer is asked for its own word where it can be. Every doubt is told as `unknown`,
and nothing here sends a sheet twice.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from kiosk.devices.cups.connection import JobState, NoServer, Queue
from kiosk.devices.cups.device import Device, DeviceJob
from kiosk.devices.cups.hints import message_of, reason_of
from kiosk.errors import PrinterFault
from kiosk.system.clock import Clock

POLL_S = 0.25
PATIENCE_S = 20.0
"""How long an obstacle may last before the sheet is called back: time to close a cover (this project's own choice)."""

_PENDING, _HELD, _PROCESSING, _STOPPED, _CANCELED, _ABORTED, _COMPLETED = range(3, 10)
_FORGOTTEN = "cups-ipp-missing-job-history"

RECALL_S = 5.0
"""How long a printer may take to give up a sheet that is called back (this project's own choice)."""

SheetEnding = Literal["printed", "not_printed", "unknown"]


@dataclass(frozen=True, slots=True)
class Ended:
    """What became of a sheet, and why it was not printed or is unknown."""

    end: SheetEnding
    detail: str = ""


@dataclass(frozen=True, slots=True)
class Witness:
    """The device, and the sheets that it knew before this one came: what is new is this one."""

    device: Device
    before: frozenset[int]

    def sheet(self) -> DeviceJob | None:
        """Return the new sheet, None where the device knows of none.

        The booth's title decides between several; there are devices that keep no title.
        """
        new = {number: job for number, job in (self.device.jobs() or {}).items() if number not in self.before}
        ours = {number: job for number, job in new.items() if job.named} or new
        return ours[max(ours)] if ours else None


def witness_of(device: Device | None) -> Witness | None:
    """Return the device as a witness of the next sheet, or None where it cannot be asked for its jobs."""
    before = device.jobs() if device is not None else None
    return None if device is None or before is None else Witness(device, frozenset(before))


def watch(
    queue: Queue,
    number: int,
    clock: Clock,
    limit_s: float,
    patience_s: float = PATIENCE_S,
    witness: Witness | None = None,
) -> Ended:
    """Wait for a job's end; call it back when an obstacle lasts, and leave nothing of it with the server.

    Parameters
    ----------
    limit_s
        The longest that a job may take, held ones included.
    patience_s
        The longest that an obstacle may last.
    witness
        The device, where it can be asked for its own word.
    """
    began_s = clock.now_s()
    clear_s = began_s
    seen = ""
    try:
        while True:
            job, obstacle, reasons = _look(queue, number, witness)
            now_s = clock.now_s()
            seen = obstacle or seen
            ended = _ended(job, reasons, seen, witness)
            if ended is not None:
                queue.remove(number)
                return ended
            if not obstacle or job.state == _HELD:
                clear_s = now_s
            if now_s - clear_s > patience_s or now_s - began_s > limit_s:
                queue.remove(number)
                return _called_back(job, obstacle or f"the sheet was not done within {limit_s:g} s", clock, witness)
            clock.sleep(POLL_S)
    except NoServer:
        return Ended("unknown", "the print server stopped while the sheet was with it")
    except PrinterFault as fault:
        return Ended("unknown", str(fault.params["detail"]))


def _look(queue: Queue, number: int, witness: Witness | None) -> tuple[JobState, str, tuple[str, ...]]:
    """Return the job, what stands in its way, and every reason told.

    The queue keeps what a device said during the last sheet until the next has begun; where the device is asked
    itself, only the server's own reasons are taken from the queue.
    """
    job, state = queue.job(number), queue.state()
    device = queue.device(state.device_uri)
    own = [reason for reason in state.reasons if witness is None or reason.startswith("cups-")]
    reasons = (*own, *(device.reasons() if device is not None else ()))
    obstacle = reason_of(reasons) or message_of(state.message) or message_of(job.message)
    if not obstacle and state.stopped:
        obstacle = "its queue is paused"
    return job, obstacle, (*reasons, *job.reasons)


def _ended(job: JobState, reasons: tuple[str, ...], seen: str, witness: Witness | None) -> Ended | None:
    match job.state:
        case 9 if _FORGOTTEN in reasons:
            return Ended("unknown", "the printer was switched off with the sheet in it")
        case 9 if seen == reason_of(["offline"]):
            return Ended("unknown", "the printer went away while the sheet was with it")
        case 9:
            return Ended("printed") if witness is None else _witnessed(witness.sheet(), seen)
        case 8:
            return Ended("not_printed", seen or "the print server gave the sheet up")
        case 7:
            sheet = witness.sheet() if witness is not None else None
            if sheet is not None and sheet.state == _ABORTED:
                return _witnessed(sheet, seen)
            return Ended("unknown", seen or "the sheet was cancelled at the printer or the print server")
    return None


def _witnessed(sheet: DeviceJob | None, seen: str) -> Ended | None:
    """Return what the device itself says of a sheet, None where it is still at it."""
    if sheet is None:
        return Ended("unknown", "the print server calls it done and the printer knows of no sheet")
    match sheet.state:
        case 9:
            return Ended("printed")
        case 8 if sheet.was_refused:
            return Ended("not_printed", "it refused the sheet")
        case 8:
            # The server says "canceled at printer" of sheets that the printer aborted, too.
            known = seen if seen != message_of("print job canceled at printer") else ""
            return Ended("unknown", known or "the printer gave the sheet up")
        case 7:
            return Ended("unknown", seen or "the sheet was cancelled at the printer")
    return None


def _called_back(job: JobState, why: str, clock: Clock, witness: Witness | None) -> Ended:
    """Tell what became of a sheet that was called back; one that had been begun on may still come out."""
    begun = job.state == _PROCESSING and why.startswith("the sheet")
    if witness is None:
        return Ended("unknown" if begun else "not_printed", why)
    end_s = clock.now_s() + RECALL_S
    while (sheet := witness.sheet()) is not None and not sheet.has_ended:
        if sheet.is_stopping and not begun:
            return Ended("not_printed", why)
        if clock.now_s() > end_s:
            return Ended("unknown", f"{why}, and it does not give the sheet back")
        clock.sleep(POLL_S)
    if sheet is not None and sheet.state == _COMPLETED:
        return Ended("printed")
    return Ended("not_printed", why)
