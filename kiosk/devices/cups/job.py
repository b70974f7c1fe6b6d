"""A job watched to its end: what becomes of a sheet, by what the server and the printer say together.

`completed` alone proves little: a printer that was switched off and on in the middle also ends so. Every doubt is
told as `unknown`, and nothing here sends a sheet twice.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from kiosk.clock import Clock
from kiosk.devices.cups.connection import JobState, NoServer, Queue
from kiosk.devices.cups.hints import message_of, reason_of
from kiosk.errors import PrinterFault

POLL_S = 0.25
PATIENCE_S = 20.0
"""How long an obstacle may last before the sheet is called back: time to close a cover (this project's own choice)."""

_PENDING, _HELD, _PROCESSING, _STOPPED, _CANCELED, _ABORTED, _COMPLETED = range(3, 10)
_FORGOTTEN = "cups-ipp-missing-job-history"

End = Literal["printed", "not_printed", "unknown"]


@dataclass(frozen=True, slots=True)
class Ended:
    """What became of a sheet, and why it was not printed or is unknown."""

    end: End
    detail: str = ""


def watch(queue: Queue, number: int, clock: Clock, limit_s: float, patience_s: float = PATIENCE_S) -> Ended:
    """Wait for a job's end; call it back when an obstacle lasts, and leave nothing of it with the server.

    Parameters
    ----------
    limit_s
        The longest that a job may take, held ones included.
    patience_s
        The longest that an obstacle may last.
    """
    began_s = clock.now_s()
    clear_s = began_s
    seen = ""
    try:
        while True:
            job, obstacle, reasons = _look(queue, number)
            now_s = clock.now_s()
            seen = obstacle or seen
            ended = _ended(job, reasons, seen)
            if ended is not None:
                queue.remove(number)
                return ended
            if not obstacle or job.state == _HELD:
                clear_s = now_s
            if now_s - clear_s > patience_s or now_s - began_s > limit_s:
                return _called_back(queue, number, job, obstacle or f"the sheet was not done within {limit_s:g} s")
            clock.sleep(POLL_S)
    except NoServer:
        return Ended("unknown", "the print server stopped while the sheet was with it")
    except PrinterFault as fault:
        return Ended("unknown", str(fault.params["detail"]))


def _look(queue: Queue, number: int) -> tuple[JobState, str, tuple[str, ...]]:
    """Return the job, what stands in its way, and every reason told."""
    job, state = queue.job(number), queue.state()
    device = queue.device_reasons(state.device_uri) or ()
    reasons = (*state.reasons, *device)
    obstacle = reason_of(reasons) or message_of(state.message) or message_of(job.message)
    if not obstacle and state.stopped:
        obstacle = "its queue is paused"
    return job, obstacle, (*reasons, *job.reasons)


def _ended(job: JobState, reasons: tuple[str, ...], seen: str) -> Ended | None:
    match job.state:
        case 9 if _FORGOTTEN in reasons:
            return Ended("unknown", "the printer was switched off with the sheet in it")
        case 9 if seen == reason_of(["offline"]):
            return Ended("unknown", "the printer went away while the sheet was with it")
        case 9:
            return Ended("printed")
        case 8:
            return Ended("not_printed", seen or "the print server gave the sheet up")
        case 7:
            return Ended("unknown", seen or "the sheet was cancelled at the printer or the print server")
    return None


def _called_back(queue: Queue, number: int, job: JobState, why: str) -> Ended:
    """Cancel a job; a sheet that the printer had begun on without an obstacle may still come out."""
    queue.remove(number)
    began = job.state == _PROCESSING and why.startswith("the sheet")
    return Ended("unknown" if began else "not_printed", why)
