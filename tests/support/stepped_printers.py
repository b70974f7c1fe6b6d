"""A print server on a manual clock, its queues and printers (`stepped_printer.py`), which obey, and fail on request.

The booth's own printer, journal, watch and queue work with them; made up are the server's queue and the device behind
it, as CUPS 2.4.2 and its virtual printer were seen to behave in `tests/faults/printing`.
"""

from __future__ import annotations

import itertools
import queue
import random
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass, field
from types import SimpleNamespace
from unittest import mock

from kiosk.devices.base import Printer
from kiosk.devices.cups.connection import JobState, QueueState
from kiosk.devices.cups.media import QueueDriver, read_driver
from kiosk.devices.cups.printer import POLICY
from kiosk.devices.printer import queue as queue_module
from kiosk.errors import PrinterFault
from tests.support.marked_pictures import Mark, mark_on_sheet
from tests.support.noted_print_queue import NotedPrintQueue
from tests.support.stepped_clock import SteppedClock
from tests.support.stepped_printer import CANCELED, COMPLETED, HELD, PENDING, PROCESSING, MadeUpPrinter

DRIVER = read_driver(
    '*PPD-Adobe: "4.3"\n*DefaultResolution: 300dpi\n'
    '*PaperDimension 4x6/4 x 6": "288 432"\n*ImageableArea 4x6/4 x 6": "0 0 288 432"\n'
)
SENT, FORGOTTEN = "cups-waiting-for-job-completed", "cups-ipp-missing-job-history-report"
SENDING_S = 0.4
"""How long the server takes from a document to the device."""
REPORT_S = 1.0
"""How often the server asks the device about its job."""


@dataclass
class _Job:
    """One job of the server."""

    number: int
    state: int = HELD
    pdf: bytes = b""
    due_s: float = 0.0
    at_device: int | None = None
    on_since_s: float = 0.0
    reasons: tuple[str, ...] = ()


@dataclass
class MadeUpQueue:
    """One queue of a print server with the device behind it; its methods are those of `kiosk.devices.cups` ' `Queue`.

    Attributes
    ----------
    is_paused, is_accepting
        Set by whoever manages the server.
    lies
        Whether the server calls a sheet completed that the device has given up, as it does with one in several.
    """

    printer: MadeUpPrinter
    clock: SteppedClock
    chance: random.Random
    is_paused: bool = False
    is_accepting: bool = True
    lies: bool = False
    jobs: dict[int, _Job] = field(default_factory=dict)
    _reasons: tuple[str, ...] = ()
    _has_forgotten: bool = False
    _numbers: Iterator[int] = field(default_factory=lambda: itertools.count(1))

    @property
    def name(self) -> str:
        """Its name."""
        return self.printer.name

    def driver(self) -> QueueDriver:
        """Return what its driver says."""
        return DRIVER

    def defaults(self) -> dict[str, str]:
        """Return its defaults."""
        return {}

    def device(self, _: str) -> MadeUpPrinter:
        """Return the device."""
        return self.printer

    def state(self) -> QueueState:
        """Return its state."""
        self.go_on()
        reasons = (*self._reasons, *((FORGOTTEN,) if self._has_forgotten else ()))
        busy = any(job.state == PROCESSING for job in self.jobs.values())
        return QueueState(busy, self.is_paused, self.is_accepting, reasons, "", POLICY, f"ipp://localhost/{self.name}")

    def create(self, options: Mapping[str, str]) -> int:
        """Create a job without a document."""
        if not self.is_accepting:
            raise PrinterFault(printer=self.name, detail="its queue takes no sheets")
        assert options["copies"] == "1"
        number = next(self._numbers)
        self.jobs[number] = _Job(number)
        return number

    def send(self, number: int, pdf: bytes) -> None:
        """Send a job its document."""
        job = self._known(number)
        job.pdf, job.state = pdf, PENDING
        self.go_on()

    def job(self, number: int) -> JobState:
        """Return the state of a job."""
        self.go_on()
        job = self._known(number)
        return JobState(job.state, job.reasons, "", int(job.state >= PROCESSING and job.at_device is not None))

    def remove(self, number: int) -> None:
        """Cancel a job and forget it."""
        self.cancel(number)
        self.jobs.pop(number, None)

    def leftovers(self) -> list[int]:
        """Return the booth's jobs that it still knows."""
        return sorted(self.jobs)

    def cancel_all(self) -> None:
        """Cancel every job as anybody may."""
        for number in list(self.jobs):
            self.cancel(number)

    def cancel(self, number: int) -> None:
        """Cancel a job as anybody may."""
        self.go_on()
        job = self.jobs.get(number)
        if job is None or job.state >= CANCELED:
            return
        self._stop(job)
        job.state = CANCELED

    def pause(self) -> None:
        """Stop the queue: what is with the device is called back there, and sent again when the queue goes on."""
        self.go_on()
        self.is_paused = True
        for job in self.jobs.values():
            if job.state == PROCESSING:
                self._stop(job)
                job.state, job.at_device = PENDING, None

    def resume(self) -> None:
        """Let the queue go on."""
        self.is_paused = False
        self.go_on()

    def accept(self, is_accepting: bool) -> None:
        """Take sheets, or refuse them."""
        self.is_accepting = is_accepting

    @property
    def is_on(self) -> bool:
        """Whether its printer is switched on."""
        return self.printer.is_on

    @property
    def gives_up(self) -> bool:
        """Whether its printer aborts the next sheet."""
        return bool(self.printer.gives_up)

    def switch_off(self) -> None:
        """Switch its printer off without notice."""
        self.printer.switch_off()

    def switch_on(self) -> None:
        """Switch its printer on again."""
        self.printer.switch_on()

    def hinder(self, reason: str) -> None:
        """Keep its printer from beginning a sheet for a printer-state-reason; nothing lets it."""
        self.printer.obstacle = reason

    def jam(self, reason: str) -> None:
        """Keep a begun sheet from coming out for a printer-state-reason; nothing lets it."""
        self.printer.jam = reason

    def give_up_next(self) -> None:
        """Have its printer abort the next sheet before it begins it."""
        self.printer.gives_up += 1

    @property
    def unrest(self) -> str:
        """What is on its way, or that it is off; nothing where it is at rest."""
        self.go_on()
        if not self.printer.is_on:
            return "off"
        at_server = [job.number for job in self.jobs.values() if job.state < CANCELED]
        return "" if self.printer.is_at_rest and not at_server else f"on their way are {at_server}"

    def tray(self) -> list[Mark | None]:
        """Return the marks of the pages in the tray, None for one that was cut off."""
        return [page and mark_on_sheet(page) for page in self.printer.tray]  # type: ignore[misc]

    def clear_tray(self) -> None:
        """Take out what lies in the tray."""
        self.printer.tray.clear()

    def go_on(self) -> None:
        """Do what the server has done since it was looked at last."""
        now_s = self.clock.now_s()
        self.printer.go_on()
        job = next((job for job in self.jobs.values() if job.state in (PENDING, PROCESSING)), None)
        if job is None or now_s < job.due_s:
            return
        if job.state == PENDING:
            if not self.is_paused:
                job.state, job.due_s = PROCESSING, now_s + SENDING_S
                self._reasons = ()
            return
        job.due_s = now_s + REPORT_S
        if not self.printer.is_on:
            self._reasons = ("offline-report",)
        elif job.at_device is None:
            job.at_device, job.on_since_s = self.printer.receive(job.pdf), self.printer.on_since_s
            self._reasons = (SENT,)
        else:
            self._ask_device(job)

    def _ask_device(self, job: _Job) -> None:
        sheet = self.printer.sheets.get(job.at_device or 0)
        if sheet is None or self.printer.on_since_s != job.on_since_s:
            job.state, self._has_forgotten, self._reasons = COMPLETED, True, ()
        elif sheet.state >= CANCELED:
            job.state = COMPLETED if self.lies else sheet.state
            self._reasons = ()
        else:
            self._reasons = (SENT, *self.printer.standing().reasons)

    def _stop(self, job: _Job) -> None:
        is_there = self.printer.is_on and self.printer.on_since_s == job.on_since_s
        if job.state == PROCESSING and job.at_device is not None and is_there:
            self.printer.cancel(job.at_device)
        self._reasons = ()

    def _known(self, number: int) -> _Job:
        if number not in self.jobs:
            raise PrinterFault(printer=self.name, detail="the print server knows no such queue or job")
        return self.jobs[number]


def made_up_queue(name: str, clock: SteppedClock, chance: random.Random) -> MadeUpQueue:
    """Return a queue with a printer behind it that has printed a sheet, so that its counter is believed."""
    return MadeUpQueue(MadeUpPrinter(name, clock, chance), clock, chance)


class SteppedPrintQueue(NotedPrintQueue):
    """The booth's print queue, following the clock."""

    def __init__(self, printer: Printer, clock: SteppedClock, before: Callable[[], object]) -> None:
        waits, queues = SimpleNamespace(Event=clock.event, Thread=clock.thread), SimpleNamespace(Empty=queue.Empty)
        queues.SimpleQueue = clock.queue
        with mock.patch.multiple(queue_module, threading=waits, queue=queues):
            super().__init__(printer, before=before)

    def kill(self) -> None:
        """End its thread where it is."""
        self._thread.kill()  # type: ignore[attr-defined]
