"""The paper is counted down by what comes out on it, and a sheet is noted on disk before the printer has it."""

import time
from contextlib import closing, contextmanager
from functools import partial

import pytest

from kiosk.booth.assembly import written_down
from kiosk.booth.attendant_desk import AttendantDesk, DeskComponents
from kiosk.booth.sheet_tracker import SheetTracker
from kiosk.core.attendant.state import DeskConfig
from kiosk.devices.base import PrintJob, PrintStatus
from kiosk.devices.folder.printer import FolderPrinter
from kiosk.devices.printer.queue import PrintQueue
from kiosk.store.desk_memory import DeskMemory, Remembered
from kiosk.store.ledger import Bookkeeper
from tests.support.manual_clock import ManualClock
from tests.support.sights import DOCUMENT

USUAL, OTHER = "na_index-4x6_4x6in", "na_5x7_5x7in"


class WatchedPrinter(FolderPrinter):
    """Notes what the desk's file says when it is given a sheet."""

    def __init__(self, folder, memory):
        super().__init__(folder)
        self.memory, self.seen = memory, []

    def print_sheet(self, job):
        self.seen.append(self.memory.get())
        return super().print_sheet(job)


@contextmanager
def counting(folder):
    memory, clock = DeskMemory(folder / "desk.json"), ManualClock()
    memory.put(Remembered(sheets=9))
    printer = WatchedPrinter(folder / "prints", memory)
    desk = AttendantDesk(DeskComponents(DeskConfig(True), "", memory, clock, list, lambda jpeg: None))
    with closing(Bookkeeper(folder / "ledger.sqlite3", clock, printer.how_it_ended)) as ledger, closing(desk):
        with closing(PrintQueue(printer, before=partial(written_down, ledger, desk))) as prints:
            yield SheetTracker(prints, ledger, None, USUAL, desk), prints, printer
        desk.flush()


def sent(tracker, prints, key, medium, copies):
    tracker.send(PrintJob(key, b"%PDF-", medium, copies), DOCUMENT, 4)
    while tracker.are_on_their_way:
        for status in prints.poll():
            if isinstance(status, PrintStatus):
                tracker.moved(status)
        time.sleep(0.001)


@pytest.mark.parametrize(("medium", "copies", "left"), [(USUAL, 1, 8), (USUAL, 2, 7), (OTHER, 2, 9)])
def test_only_the_paper_that_the_booth_counts_is_counted_down(tmp_path, medium, copies, left):
    with counting(tmp_path) as (tracker, prints, printer):
        sent(tracker, prints, "a", medium, copies)
    noted = (("a", copies),) if medium == USUAL else ()
    assert printer.seen == [Remembered(sheets=9, on_their_way=noted)], "noted before the printer has it"
    assert printer.memory.get() == Remembered(sheets=left)


def test_a_badge_that_another_sends_is_counted_too(tmp_path):
    with counting(tmp_path) as (tracker, prints, printer):
        job = PrintJob("badge", b"%PDF-", USUAL)
        tracker.count(job)
        prints.submit(job)
        while printer.how_it_ended("badge") != "printed":
            time.sleep(0.001)
        tracker.moved(PrintStatus("badge", "done"))
    assert printer.memory.get() == Remembered(sheets=8)
