"""The queue is paused, or takes no sheets: told before anything is sent."""

import time

import pytest

from kiosk.devices.folder.printer import FolderPrinter
from kiosk.devices.printer.fallback import FallbackPrinter
from kiosk.errors import PrinterFault, SheetUnknown
from tests.faults.printing.conftest import PATIENCE_S, STAYS_S, sheet
from tests.support.virtual_printer import wait_for


def test_a_paused_queue_gets_no_sheet_and_prints_once_it_is_resumed(rig):
    printer = rig.open()
    rig.lab.connection().disablePrinter("photo")
    with pytest.raises(PrinterFault, match="paused"):
        printer.print_sheet(sheet())
    rig.lab.connection().enablePrinter("photo")
    printer.print_sheet(sheet())
    assert len(rig.device.received()) == 1


def test_a_queue_that_takes_no_sheets_is_told(rig):
    rig.lab.connection().rejectJobs("photo")
    with pytest.raises(PrinterFault, match="takes no sheets"):
        rig.open().check()


def pause_under(rig, printer):
    """Pause the queue with a sheet in the engine, and return what becomes of the sheet."""
    rig.device.say("media-low")
    ended = rig.begin(printer)
    rig.in_the_engine()
    rig.lab.connection().disablePrinter("photo")
    return ended


def test_a_sheet_that_the_engine_finishes_after_its_queue_was_paused_is_printed_and_the_second_gets_none(rig):
    second = FolderPrinter(rig.folder / "second")
    ended = pause_under(rig, FallbackPrinter(rig.open(), second))
    time.sleep(2 * PATIENCE_S)
    rig.device.say()
    assert str(rig.wait(ended)).startswith("photo, job")
    assert rig.kept() == []
    assert len(rig.device.came_out()) == 1
    assert not (rig.folder / "second").exists()


def test_a_sheet_that_stays_in_the_engine_of_a_paused_queue_is_unknown_and_the_second_gets_none(rig):
    second = FolderPrinter(rig.folder / "second")
    ended = pause_under(rig, FallbackPrinter(rig.open(recall_s=STAYS_S), second))
    assert isinstance(rig.wait(ended), SheetUnknown)
    assert not (rig.folder / "second").exists()
    rig.device.say()
    wait_for(rig.device.came_out, "the sheet never came out")


def test_a_sheet_that_had_not_been_begun_when_its_queue_was_paused_is_printed_by_the_second(rig):
    second = FolderPrinter(rig.folder / "second")
    printer = FallbackPrinter(rig.open(), second)
    printer.print_sheet(sheet("a0"))
    rig.device.say("cover-open")
    ended = rig.begin(printer)
    rig.on_its_way(2)
    rig.lab.connection().disablePrinter("photo")
    assert rig.wait(ended) == str(rig.folder / "second" / "a1.pdf")
    assert len(rig.device.came_out()) == 1
