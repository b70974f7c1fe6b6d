"""The sheet of a sitter who has left is still with the printer: its end is nothing to the next one."""

import threading
import time

import pytest

from kiosk.core.view.intent import Intent
from kiosk.devices.folder.printer import FolderPrinter
from kiosk.errors import PrinterFault
from tests.support.quick_booth import opened
from tests.support.sights import DOCUMENT

HANG_S = 60.0
TOO_LONG_S = 601.0
"""A second more than a sitter waits for a sheet (`BoothConfig.idle_s`)."""
WAYS = (Intent("start"), Intent("choose", DOCUMENT.id), Intent("ready", "6"), Intent("agree"))


class SlowPrinter(FolderPrinter):
    """A printer that ends a sheet when it is let, printed or not."""

    def __init__(self, folder):
        super().__init__(folder)
        self.let, self.is_stuck = threading.Semaphore(0), False

    def print_sheet(self, job):
        assert self.let.acquire(timeout=HANG_S)
        if self.is_stuck:
            raise PrinterFault(printer="slow", detail="the paper has jammed")
        return super().print_sheet(job)


class Booth:
    """A booth, and the ways of its sitters."""

    def __init__(self, loop, parts):
        self.loop, self.parts = loop, parts

    def tick(self, *, works=True):
        if works:
            self.parts.worker.turn()
        self.loop.tick()
        self.parts.clock.sleep(0.1)

    def until(self, state, *, works=True):
        end_s = time.monotonic() + HANG_S
        while self.loop.view.state != state:
            assert time.monotonic() < end_s, self.loop.view.state
            self.tick(works=works)
            time.sleep(0.001)

    def to_printing(self):
        """Let a sitter come and accept a photo."""
        for way in WAYS:
            self.loop._step(way)
        self.until("review")
        while self.parts.worker.turn():
            self.loop.tick()
        self.loop._step(Intent("accept"))
        assert self.loop.session.state == "printing"

    def until_the_printer_has_ended_a_sheet(self):
        """Let the printer end a sheet, and the loop hear of it, while the vision worker is busy with something else."""
        assert self.parts.ledger.flush(HANG_S)
        before = self.ended()
        self.printer.let.release()
        end_s = time.monotonic() + HANG_S
        while self.ended() == before:
            assert time.monotonic() < end_s
            self.tick(works=False)
            time.sleep(0.001)

    def ended(self):
        """Return how many sheets the loop has booked as ended."""
        return len(self.loop._sheets._sent)


@pytest.fixture
def booth(tmp_path):
    printer = SlowPrinter(tmp_path / "prints")
    with opened(tmp_path, printer=printer) as (loop, parts):
        made = Booth(loop, parts)
        made.printer = printer
        made.until("welcome")
        made.to_printing()
        for _ in range(5):
            made.tick()
        parts.clock.sleep(TOO_LONG_S)
        made.until("welcome")
        yield made
        printer.let.release(10)


def test_it_does_not_end_the_wait_of_the_next_whose_sheet_was_not_sent_yet(booth):
    booth.to_printing()
    booth.until_the_printer_has_ended_a_sheet()
    assert booth.loop.session.state == "printing"
    booth.printer.let.release()
    booth.until("collect")


def test_its_failure_takes_no_photo_from_the_next_one(booth):
    for way in WAYS:
        booth.loop._step(way)
    booth.until("review")
    booth.printer.is_stuck = True
    booth.until_the_printer_has_ended_a_sheet()
    assert booth.loop.session.state == "review"
