"""Paper put in again: the printer passes its check, and the next sheet is printed."""

from dataclasses import replace

import pytest

from kiosk.devices.base import PrintStatus
from kiosk.devices.printer.queue import PrintQueue
from kiosk.errors import PrinterFault
from tests.faults.printing.conftest import sheet
from tests.support.virtual_printer import wait_for


def test_a_mended_printer_prints_the_next_sheet(rig):
    printer = rig.open()
    rig.device.say("media-empty-error")
    with pytest.raises(PrinterFault):
        printer.print_sheet(sheet("a1"))
    rig.device.say()

    def mended():
        try:
            printer.check()
        except PrinterFault:
            return False
        return True

    wait_for(mended, "the printer never passed its check again")
    printer.print_sheet(sheet("a2"))
    assert rig.kept() == []


def test_a_sheet_whose_sitter_waits_comes_out_once_when_paper_is_loaded(rig):
    printer = rig.open()
    printer.print_sheet(sheet("a0"))
    rig.device.say("media-empty-error")
    queue = PrintQueue(printer, check_s=0.1, hold_s=60.0)
    queue.submit(replace(sheet("a1"), is_awaited=True))
    states = []

    def has(state):
        states.extend(one.state for one in queue.poll() if isinstance(one, PrintStatus))
        return state in states

    wait_for(lambda: has("held"), "the sheet was never held")
    rig.device.say()
    wait_for(lambda: has("done"), "the sheet never came out")
    assert queue.close()
    assert len(rig.device.came_out()) == 2
    assert rig.kept() == []
