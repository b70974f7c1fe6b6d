from __future__ import annotations

import threading
import time
from dataclasses import replace

import pytest

from kiosk.devices.base import DeviceFailed, DeviceNotice, DeviceReady, PrintJob, PrintStatus
from kiosk.devices.folder.printer import FolderPrinter
from kiosk.devices.printer.queue import PrintQueue
from kiosk.errors import PrinterFault, ScaleUnproven, SheetUnknown
from kiosk.system.clock import SystemClock

MEDIUM = "na_5x7_5x7in"


class GatedPrinter:
    """Prints a sheet each time the gate is opened, and notes what was in flight together."""

    name = "gated"
    notice = ""

    def __init__(self):
        self.gate = threading.Semaphore(0)
        self.in_flight = []
        self.most_in_flight = 0

    def print_sheet(self, job):
        self.in_flight.append(job.key)
        self.most_in_flight = max(self.most_in_flight, len(self.in_flight))
        assert self.gate.acquire(timeout=60)
        self.in_flight.remove(job.key)
        return f"tray/{job.key}"

    def check(self):
        pass


class BrokenPrinter:
    """Fails in the way it is told."""

    name = "broken"
    notice = ""

    def __init__(self, error):
        self.error = error

    def print_sheet(self, job):
        raise self.error

    def check(self):
        raise self.error


def job(key):
    return PrintJob(key, b"%PDF-1.7", MEDIUM)


def statuses(queue, count):
    """Poll until so many changes have come."""
    found, end_s = [], time.monotonic() + 60
    while len(found) < count:
        assert time.monotonic() < end_s, found
        found += queue.poll()
        time.sleep(0.002)
    return found


def test_one_sheet_is_in_flight_and_the_others_wait_their_turn():
    printer = GatedPrinter()
    queue = PrintQueue(printer)
    for key in "abc":
        queue.submit(job(key))
    early = statuses(queue, 4)
    assert sorted((s.key, s.state) for s in early) == [
        ("a", "printing"),
        ("a", "waiting"),
        ("b", "waiting"),
        ("c", "waiting"),
    ]
    for _ in "abc":
        printer.gate.release()
    late = statuses(queue, 5)
    assert [(s.key, s.state, s.where) for s in late] == [
        ("a", "done", "tray/a"),
        ("b", "printing", ""),
        ("b", "done", "tray/b"),
        ("c", "printing", ""),
        ("c", "done", "tray/c"),
    ]
    assert printer.most_in_flight == 1
    assert queue.close()


def test_a_printer_that_stops_fails_the_sheet_and_not_the_queue(tmp_path):
    fault = PrinterFault(printer="broken", detail="no paper")
    printer = BrokenPrinter(fault)
    queue = PrintQueue(printer)
    assert statuses(queue, 1) == [DeviceFailed(fault)]
    queue.submit(job("a"))
    queue.submit(job("b"))
    moved = statuses(queue, 6)
    failed = [status for status in moved if status.state == "failed"]
    assert [(status.key, status.error) for status in failed] == [("a", fault), ("b", fault)]
    assert queue.close()


def test_an_error_nobody_thought_of_becomes_a_fault_of_the_printer():
    queue = PrintQueue(BrokenPrinter(ZeroDivisionError("\xff\xd8")))
    queue.submit(job("a"))
    error = statuses(queue, 4)[-1].error
    assert isinstance(error, SheetUnknown)  # it may have come out before the error
    assert error.params["detail"] == "an unexpected ZeroDivisionError"
    assert queue.close()


def test_a_printer_that_failed_is_asked_until_it_could_print_again():
    printer = GatedPrinter()
    printer.print_sheet = BrokenPrinter(PrinterFault(printer="gated", detail="no paper")).print_sheet
    queue = PrintQueue(printer, check_s=0.005)
    queue.submit(job("a"))
    *_, last = statuses(queue, 4)
    assert last == DeviceReady("gated")
    time.sleep(0.05)
    assert queue.poll() == []
    assert queue.close()


class FaultyPrinter:
    """Fails so many times and then prints, and notes what it was asked."""

    name = "faulty"
    notice = ""

    def __init__(self, *errors):
        self.errors = list(errors)
        self.asked = []

    def print_sheet(self, job):
        self.asked.append(job.key)
        if self.errors:
            raise self.errors.pop(0)
        return f"tray/{job.key}"

    def check(self):
        pass


EMPTY = PrinterFault(printer="faulty", detail="no paper")


def states_of(queue):
    """Return the states of the one sheet until its end."""
    found = []
    while not found or found[-1] not in ("done", "failed"):
        found += [status.state for status in statuses(queue, 1) if isinstance(status, PrintStatus)]
    return found


def test_a_sheet_that_somebody_waits_for_is_held_until_the_printer_is_put_right():
    printer = FaultyPrinter(EMPTY, EMPTY)
    queue = PrintQueue(printer, check_s=0.005)
    queue.submit(replace(job("a"), is_awaited=True))
    assert states_of(queue) == ["waiting", "printing", "held", "printing", "held", "printing", "done"]
    assert queue.close()


@pytest.mark.parametrize(
    ("error", "awaited", "hold_s"),
    [
        (EMPTY, False, 60.0),
        (EMPTY, True, 0.0),
        (SheetUnknown(printer="faulty", detail="it went off"), True, 60.0),
        (ScaleUnproven(printer="faulty", detail="it was never measured"), True, 60.0),
        (ZeroDivisionError(), True, 60.0),
    ],
)
def test_what_nobody_waits_for_or_may_have_come_out_is_never_sent_again(error, awaited, hold_s):
    printer = FaultyPrinter(error)
    queue = PrintQueue(printer, check_s=0.005, hold_s=hold_s)
    queue.submit(replace(job("a"), is_awaited=awaited))
    assert states_of(queue) == ["waiting", "printing", "failed"]
    assert printer.asked == ["a"]
    assert queue.close()


def test_a_sheet_is_held_no_longer_where_the_printer_takes_long_to_answer():
    class Slow(FaultyPrinter):
        checks = 0

        def check(self):
            self.checks += 1
            time.sleep(0.1)
            raise EMPTY

    printer = Slow(EMPTY)
    queue = PrintQueue(printer, check_s=0.005, hold_s=0.25)
    queue.submit(replace(job("a"), is_awaited=True))
    assert states_of(queue) == ["waiting", "printing", "held", "failed"]
    assert printer.checks < 25, "half of those that would have room if only the rests between them counted"
    assert queue.close()


def test_closing_gives_a_held_sheet_up():
    printer = FaultyPrinter(EMPTY)
    printer.check = BrokenPrinter(EMPTY).check
    queue = PrintQueue(printer, check_s=0.005)
    queue.submit(replace(job("a"), is_awaited=True))
    while not any(isinstance(one, PrintStatus) and one.state == "held" for one in statuses(queue, 1)):
        pass
    assert queue.close()
    assert printer.asked == ["a"]


def test_what_runs_out_is_told_once_and_taken_back_when_it_was_changed():
    printer = GatedPrinter()
    printer.notice = "Ribbon of gated is at 2 %."
    queue = PrintQueue(printer, idle_s=0.005)
    assert statuses(queue, 1) == [DeviceNotice("Ribbon of gated is at 2 %.")]
    time.sleep(0.05)
    assert queue.poll() == []
    printer.notice = ""
    assert statuses(queue, 1) == [DeviceNotice("")]
    assert queue.close()


def test_what_a_sheet_was_found_to_run_out_of_is_told_without_a_check():
    printer = FaultyPrinter()
    queue = PrintQueue(printer)
    queue.submit(job("a"))
    statuses(queue, 3)
    printer.notice = "Ribbon of faulty is at 2 %."
    queue.submit(job("b"))
    assert DeviceNotice(printer.notice) in statuses(queue, 4)
    assert queue.close()


def test_a_printer_that_could_not_print_is_told_before_the_first_sheet_once_for_each_reason():
    empty, jammed = (PrinterFault(printer="broken", detail=why) for why in ("no paper", "jammed"))
    printer = BrokenPrinter(empty)
    queue = PrintQueue(printer, check_s=0.005)
    assert statuses(queue, 1) == [DeviceFailed(empty)]
    time.sleep(0.05)
    assert queue.poll() == []
    printer.error = jammed
    assert statuses(queue, 1) == [DeviceFailed(jammed)]
    printer.check = lambda: None
    assert statuses(queue, 1) == [DeviceReady("broken")]
    assert queue.close()


def test_an_idle_printer_is_looked_after_and_a_check_that_breaks_does_not_end_the_thread():
    printer = GatedPrinter()
    queue = PrintQueue(printer, check_s=0.005, idle_s=0.005)
    printer.check = BrokenPrinter(ZeroDivisionError()).check
    (told,) = statuses(queue, 1)
    assert str(told.error) == "The printer gated stopped: an unexpected ZeroDivisionError."
    printer.gate.release()
    queue.submit(job("a"))
    assert [status.state for status in statuses(queue, 3)[:3]] == ["waiting", "printing", "done"]
    assert queue.close()


def test_close_prints_what_was_submitted_and_refuses_the_rest(tmp_path):
    queue = PrintQueue(FolderPrinter(tmp_path))
    for key in "abc":
        queue.submit(job(key))
    assert queue.close(60)
    assert sorted(path.stem for path in tmp_path.glob("*.pdf")) == ["a", "b", "c"]
    queue.poll()
    queue.submit(job("d"))
    assert [(status.key, status.state) for status in queue.poll()] == [("d", "failed")]
    assert queue.close()


@pytest.mark.parametrize("limit_s", [0.05])
def test_close_tells_when_a_printer_hangs(limit_s):
    printer = GatedPrinter()
    queue = PrintQueue(printer)
    queue.submit(job("a"))
    assert not queue.close(limit_s)
    printer.gate.release()
    assert queue.close(60)


def test_a_sheet_that_cannot_be_counted_is_not_printed_and_does_not_end_the_thread(tmp_path):
    counted = []

    def count():
        counted.append(None)
        if len(counted) == 1:
            raise OSError("the disk is gone")

    queue = PrintQueue(FolderPrinter(tmp_path, SystemClock()), before=count)
    queue.submit(job("one"))
    queue.submit(job("two"))
    ended = {status.key: status.state for status in statuses(queue, 6) if isinstance(status, PrintStatus)}
    assert ended == {"one": "failed", "two": "done"}
    assert queue.close()
