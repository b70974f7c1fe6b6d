"""A job watched to its end: the outcome of a sheet, from the reports of server and printer together.

`completed` alone proves little: CUPS 2.4.2 says it of one in several sheets that the printer gave up, because two
threads of its backend ask for the job's state and only one looks for `aborted`; of a printer that was switched off
and on in the middle; and of a sheet without a page. So the printer is asked for its own word where it can be, and
impressions are counted. A sheet that was begun is `unknown` unless the printer itself has ended it with a count.
Nothing here sends a sheet twice.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from kiosk.devices.cups.connection import JobState, NoServer, Queue, QueueState
from kiosk.devices.cups.hints import message_of, reason_of
from kiosk.devices.cups.standing import DeviceStanding
from kiosk.devices.cups.witness import RECALL_S, Ended, Output, Testimony, Witness, word_on
from kiosk.errors import PrinterFault
from kiosk.system.clock import Clock

POLL_S = 0.25
PATIENCE_S = 20.0
"""How long an obstacle may last before the sheet is called back: time to close a cover (this project's own choice)."""

WAITING = (3, 4)
"""pending and pending-held (RFC 8011, 5.3.7): nothing of the job has been begun."""
_HELD, _ABORTED, _COMPLETED = 4, 8, 9
_SENT = "cups-waiting-for-job-completed"
"""The reason that CUPS gives once the device has received the whole document."""
_FORGOTTEN = "cups-ipp-missing-job-history"
"""The reason that CUPS gives if a device has forgotten a job. It stays until the queue is set up again."""
_PAUSED = "its queue is paused"
_UP_TIME_S = 1.5
"""A device states for how long it has been on in whole seconds, and takes a moment to do so."""
ONE_SIDE = Output()
_CANCELED_AT_PRINTER = message_of("print job canceled at printer")


@dataclass(frozen=True, slots=True)
class Patience:
    """The time limits of a sheet, in seconds.

    Attributes
    ----------
    limit_s
        The longest that it may take, held ones included.
    obstacle_s
        The longest that an obstacle may last.
    recall_s
        The longest for the printer's word on a sheet that was called back.
    """

    limit_s: float
    obstacle_s: float = PATIENCE_S
    recall_s: float = RECALL_S


@dataclass(frozen=True, slots=True)
class _Look:
    """The reports of server and device at one moment."""

    job: JobState
    obstacle: str
    reasons: tuple[str, ...]
    testimony: Testimony | None
    is_sent_again: bool


class JobWatch:
    """The watch over one job; it is created before the job has its document.

    Parameters
    ----------
    witness
        The device, where it can be asked for its own word.
    output
        What the sheet takes.
    """

    def __init__(
        self, queue: Queue, clock: Clock, patience: Patience, witness: Witness | None, output: Output = ONE_SIDE
    ) -> None:
        self._queue = queue
        self._clock = clock
        self._patience = patience
        self._witness = witness
        self._output = output
        state = queue.state()
        self._stale = {reason for reason in state.reasons if _forgotten([reason]) or not _is_servers(reason)}
        self._on_since_s = self._switched_on_s(_standing(queue, state))
        self._number = 0
        self._begun = False
        self._sighted = False
        self._whole = False
        self._power_cycled = False
        self._hindered = ""

    def end_of(self, number: int) -> Ended:
        """Wait for a job's end, call it back if an obstacle lasts, and remove every trace of it from the server."""
        self._number = number
        clear_s = began_s = self._clock.now_s()
        try:
            while True:
                look = self._look()
                now_s = self._clock.now_s()
                ended = self._ended(look)
                if ended is not None:
                    self._queue.remove(number)
                    return ended
                if not look.obstacle or look.job.state == _HELD:
                    clear_s = now_s
                too_long = now_s - began_s > self._patience.limit_s
                if too_long or look.is_sent_again or now_s - clear_s > self._patience.obstacle_s:
                    self._queue.remove(number)
                    late = f"the sheet was not done within {self._patience.limit_s:g} s"
                    return self._called_back(look.obstacle or (_PAUSED if look.is_sent_again else late))
                self._clock.sleep(POLL_S)
        except NoServer:
            return Ended("unknown", "the print server stopped while the sheet was with it")
        except PrinterFault as fault:
            return Ended("unknown", str(fault.params["detail"]))

    def _look(self) -> _Look:
        """Ask server and device.

        The queue keeps what a driver said during the last sheet until the driver takes it back, which may be when the
        next has come out: what it said before this one counts once it was gone. Where the device is asked itself, only
        the server's own reasons are taken from the queue.
        """
        job, state = self._queue.job(self._number), self._queue.state()
        standing = _standing(self._queue, state)
        testimony = self._witness.ask() if self._witness is not None else None
        reported = [reason for reason in state.reasons if self._witness is None or _is_servers(reason)]
        self._stale.intersection_update(state.reasons)
        own = [reason for reason in reported if reason not in self._stale]
        self._note_power_cycle(standing)
        reasons = (*own, *standing.reasons)
        obstacle = reason_of(reasons) or message_of(state.message) or message_of(job.message) or standing.obstacle
        if not obstacle and state.stopped:
            obstacle = _PAUSED
        self._begun = self._begun or job.state not in WAITING
        done, given_up = job.state == _COMPLETED, job.state == _ABORTED
        self._whole = done or ((self._whole or _SENT in reported) and not given_up)
        self._sighted = self._sighted or (testimony is not None and testimony.sheet is not None)
        self._hindered = obstacle or self._hindered
        is_halted = self._begun and (state.stopped or job.state in WAITING)
        return _Look(job, obstacle, (*reasons, *job.reasons), testimony, self._is_sent_again(testimony, is_halted))

    def _is_sent_again(self, testimony: Testimony | None, is_halted: bool) -> bool:
        """Return whether the server has sent the sheet twice, or would when its queue is resumed.

        A server begins a job anew that was with the device when the queue was paused, whatever the device has done
        with it: two sheets came out (cups 2.4.2).
        """
        if self._witness is None:
            return is_halted
        return testimony is not None and (testimony.times > 1 or (is_halted and testimony.sheet is not None))

    def _note_power_cycle(self, standing: DeviceStanding) -> None:
        on_since_s = self._switched_on_s(standing)
        if on_since_s is not None and self._on_since_s is not None:
            self._power_cycled = self._power_cycled or on_since_s > self._on_since_s + _UP_TIME_S

    def _switched_on_s(self, standing: DeviceStanding) -> float | None:
        return None if standing.up_s is None else self._clock.now_s() - standing.up_s

    def _ended(self, look: _Look) -> Ended | None:
        match look.job.state:
            case 9 if _forgotten(look.reasons):
                return Ended("unknown", "the printer was switched off with the sheet in it")
            case 9 if self._hindered == reason_of(["offline"]):
                return Ended("unknown", "the printer went away while the sheet was with it")
            case 9 if self._witness is None:
                return Ended("printed") if look.job.impressions else Ended("unknown", "no page of it was counted")
            case 9:
                return self._witnessed(look)
            case 8:
                return self._called_back(self._hindered or "the print server gave the sheet up")
            case 7:
                return self._called_back(self._hindered or _CANCELED_AT_PRINTER)
        return None

    def _witnessed(self, look: _Look) -> Ended | None:
        """Return the device's verdict on a sheet that the server calls done, None while it still prints."""
        if look.testimony is None or look.testimony.sheet is None:
            return Ended("unknown", "the print server calls it done and the printer knows of no sheet")
        sheet = look.testimony.sheet
        if sheet.state == _COMPLETED and not (look.job.impressions or sheet.impressions):
            return Ended("not_printed", "no page of the sheet was sent to it")
        return self._word_on(look.testimony)

    def _word_on(self, testimony: Testimony, why: str = "") -> Ended | None:
        """Return the device's verdict on the sheet, None if it has not ended it."""
        if testimony.sheet is None or not testimony.sheet.has_ended:
            return None
        # The server says "canceled at printer" of sheets that the printer aborted, too.
        why = why or self._hindered
        known = why if why != _CANCELED_AT_PRINTER else ""
        sheet, whole = testimony.sheet, self._whole
        return word_on(sheet, known, self._output, counts=testimony.counts, whole=whole, times=testimony.times)

    def _called_back(self, why: str) -> Ended:
        """Return what became of a sheet that was called back; one that was begun may still come out."""
        if self._witness is None:
            return Ended("unknown" if self._begun else "not_printed", why)
        end_s = self._clock.now_s() + self._patience.recall_s
        while (testimony := self._witness.ask()) is not None:
            if testimony.sheet is None:
                self._note_power_cycle(self._witness.device.standing())
                lost = self._sighted or self._power_cycled or not testimony.remembers
                return Ended("unknown" if lost else "not_printed", why)
            ended = self._word_on(testimony, why)
            if ended is not None:
                return ended
            self._sighted = True
            if self._clock.now_s() > end_s:
                return Ended("unknown", f"{why}, and it does not give the sheet back")
            self._clock.sleep(POLL_S)
        return Ended("unknown" if self._begun else "not_printed", why)


def _standing(queue: Queue, state: QueueState) -> DeviceStanding:
    device = queue.device(state.device_uri)
    return device.standing() if device is not None else DeviceStanding()


def _forgotten(reasons: Iterable[str]) -> bool:
    return any(reason.startswith(_FORGOTTEN) for reason in reasons)


def _is_servers(reason: str) -> bool:
    return reason.startswith("cups-")
