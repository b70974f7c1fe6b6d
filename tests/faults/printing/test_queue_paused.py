"""The queue is paused, or takes no sheets: told before anything is sent."""

import pytest

from kiosk.errors import PrinterFault
from tests.faults.printing.conftest import sheet


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


def test_a_queue_paused_under_a_sheet_calls_it_back(rig):
    printer = rig.open()
    rig.device.say("media-low")
    ended = rig.begin(printer)
    rig.on_its_way()
    rig.lab.connection().disablePrinter("photo")
    rig.device.say()
    rig.wait(ended)
    assert rig.kept() == []
