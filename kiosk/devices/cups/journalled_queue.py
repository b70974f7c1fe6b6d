"""A queue with a journal: each irrevocable step is written to the disk first, so that none is repeated."""

from __future__ import annotations

import contextlib
from collections import defaultdict
from collections.abc import Iterator, Mapping
from dataclasses import replace

from kiosk.core.print_scale.print_journal import Entry
from kiosk.core.session.facts import SheetEnd
from kiosk.devices.cups.connection import NoServer, Queue
from kiosk.devices.cups.job import POLL_S, WAITING, JobWatch
from kiosk.devices.cups.kept import Journal
from kiosk.devices.cups.set_up import Printing
from kiosk.devices.cups.witness import Habits, Output, witness_of
from kiosk.errors import CannotWrite, PrinterFault, SheetUnknown
from kiosk.system.clock import Clock


class JournalledQueue:
    """One queue and the journal of its sheets; `deliver` blocks until a sheet's end is known."""

    def __init__(self, queue: Queue, printing: Printing, jobs: Journal, clock: Clock) -> None:
        self._queue = queue
        self._printing = printing
        self._jobs = jobs
        self._clock = clock
        self._purged = False
        self._habits: defaultdict[str, Habits] = defaultdict(Habits)

    def how_it_ended(self, key: str) -> SheetEnd:
        """Return a sheet's end from the journal; a sheet without an entry was not printed."""
        try:
            entry = self._jobs.get(key)
        except CannotWrite:
            return "unknown"
        if entry is None:
            return "not_printed"
        return entry.state if entry.state in ("printed", "not_printed") else "unknown"

    def place_of(self, key: str) -> str:
        """Return where a sheet went that was printed, or nothing where it may be sent.

        Raises
        ------
        SheetUnknown
            It was begun, and nobody knows how it ended.
        """
        with self._told("read"):
            entry = self._jobs.get(key)
        if entry is None or entry.state == "not_printed":
            return ""
        if entry.state == "printed":
            return _place(entry)
        raise SheetUnknown(printer=self._queue.name, detail="the booth stopped while the sheet was with the printer")

    @contextlib.contextmanager
    def turn(self) -> Iterator[bool]:
        """Try to be the only program with a sheet in flight, and return whether it is."""
        with contextlib.ExitStack() as held:
            with self._told("written"):
                alone = held.enter_context(self._jobs.turn())
            yield alone

    @contextlib.contextmanager
    def alone(self) -> Iterator[None]:
        """Wait until no other program has a sheet in flight."""
        end_s = self._clock.now_s() + self._printing.patience.limit_s
        while True:
            with self.turn() as alone:
                if alone:
                    yield
                    return
            if self._clock.now_s() > end_s:
                raise PrinterFault(printer=self._queue.name, detail="another program is printing on it")
            self._clock.sleep(POLL_S)

    def purge(self) -> None:
        """Remove, once after the start and after a sheet of unknown end, what is left of the booth's own jobs."""
        if not self._purged:
            for number in self._queue.leftovers():
                self._queue.remove(number)
            self._purged = True

    def deliver(self, key: str, pdf: bytes, options: Mapping[str, str], output: Output) -> str:
        """Send a sheet, wait for its end, and return the queue and the job's number.

        Raises
        ------
        SheetUnknown
            Whether it came out cannot be known.
        PrinterFault
            It was not printed, and why.
        """
        uri = self._queue.state().device_uri
        witness = witness_of(self._queue.device(uri), self._habits[uri])
        watch = JobWatch(self._queue, self._clock, self._printing.patience, witness, output)
        entry = Entry(key, "sending", self._queue.name)
        self._write(entry)
        try:
            entry = replace(entry, number=self._queue.create(options))
        except PrinterFault:
            self._write(replace(entry, state="not_printed"))
            raise
        entry = self._send(entry, pdf)
        ended = watch.end_of(entry.number)
        self._write(replace(entry, state=ended.end))
        if ended.end == "unknown":
            self._purged = False
            raise SheetUnknown(printer=self._queue.name, detail=ended.detail)
        if ended.end == "not_printed":
            raise PrinterFault(printer=self._queue.name, detail=ended.detail)
        return _place(entry)

    def _send(self, entry: Entry, pdf: bytes) -> Entry:
        """Send the job its document; if it does not arrive whole, the job is cancelled at once."""
        sent = replace(entry, state="sent")
        self._write(sent)
        try:
            self._queue.send(entry.number, pdf)
        except PrinterFault as fault:
            waits = self._waits(entry.number)
            with contextlib.suppress(NoServer):
                self._queue.remove(entry.number)
            self._write(replace(entry, state="not_printed" if waits else "unknown"))
            if waits:
                raise
            self._purged = False
            raise SheetUnknown(printer=self._queue.name, detail=str(fault.params["detail"])) from fault
        return sent

    def _waits(self, number: int) -> bool:
        """Return whether a job surely has not begun; if the server does not report it, it may have."""
        try:
            return self._queue.job(number).state in WAITING
        except PrinterFault:
            return False

    def _write(self, entry: Entry) -> None:
        with self._told("written"):
            self._jobs.put(entry)

    @contextlib.contextmanager
    def _told(self, done: str) -> Iterator[None]:
        """Turn an error of the journal into a fault of the printer."""
        try:
            yield
        except CannotWrite as error:
            detail = f"the journal of jobs cannot be {done} ({error.params['detail']})"
            raise PrinterFault(printer=self._queue.name, detail=detail) from error


def _place(entry: Entry) -> str:
    return f"{entry.printer}, job {entry.number}"
