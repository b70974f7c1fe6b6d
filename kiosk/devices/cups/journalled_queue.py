"""A queue with a journal: each step that cannot be taken back is on the disk first, so that none is repeated."""

from __future__ import annotations

import contextlib
from collections.abc import Iterator, Mapping
from dataclasses import replace

from kiosk.core.print_scale.print_journal import Entry
from kiosk.core.session.facts import SheetEnd
from kiosk.devices.cups.connection import Queue
from kiosk.devices.cups.job import POLL_S, watch, witness_of
from kiosk.devices.cups.kept import Journal
from kiosk.devices.cups.set_up import Printing
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

    def how_it_ended(self, key: str) -> SheetEnd:
        """Return what the journal says of a sheet; one that it never heard of was not printed."""
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
        """Try to be the only program with a sheet in flight, and tell whether it is so."""
        with contextlib.ExitStack() as held:
            with self._told("written"):
                alone = held.enter_context(self._jobs.turn())
            yield alone

    @contextlib.contextmanager
    def alone(self) -> Iterator[None]:
        """Wait until no other program has a sheet in flight."""
        end_s = self._clock.now_s() + self._printing.limit_s
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

    def deliver(self, key: str, pdf: bytes, options: Mapping[str, str]) -> str:
        """Send a sheet, wait for its end, and return the queue and the job's number; errors as a printer's."""
        entry = Entry(key, "sending", self._queue.name)
        self._write(entry)
        try:
            entry = replace(entry, number=self._queue.create(options))
        except PrinterFault:
            self._write(replace(entry, state="not_printed"))
            raise
        witness = witness_of(self._queue.device(self._queue.state().device_uri))
        entry = self._send(entry, pdf)
        limits_s = self._printing.limit_s, self._printing.patience_s
        ended = watch(self._queue, entry.number, self._clock, *limits_s, witness)
        self._write(replace(entry, state=ended.end))
        if ended.end == "unknown":
            self._purged = False
            raise SheetUnknown(printer=self._queue.name, detail=ended.detail)
        if ended.end == "not_printed":
            raise PrinterFault(printer=self._queue.name, detail=ended.detail)
        return _place(entry)

    def _send(self, entry: Entry, pdf: bytes) -> Entry:
        """Give the job its document; one that did not arrive whole is taken back at once."""
        sent = replace(entry, state="sent")
        try:
            self._write(sent)
            self._queue.send(entry.number, pdf)
        except PrinterFault:
            self._queue.remove(entry.number)
            self._write(replace(entry, state="unknown"))
            raise
        return sent

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
