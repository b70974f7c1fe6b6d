"""Paper put in again: the printer passes its check, and the next sheet is printed."""

import pytest

from kiosk.errors import PrinterFault
from tests.faults.printing.conftest import sheet
from tests.support.printer_lab import wait_for


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
