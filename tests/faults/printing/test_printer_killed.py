"""The printer is switched off: before a sheet, and in the middle of one."""

import pytest

from kiosk.errors import PrinterFault
from tests.faults.printing.conftest import sheet


def test_a_printer_that_is_off_gets_no_sheet(rig):
    rig.device.stop()
    printer = rig.open()
    with pytest.raises(PrinterFault, match="switched off or unplugged"):
        printer.check()
    with pytest.raises(PrinterFault, match="switched off or unplugged"):
        printer.print_sheet(sheet())
    assert rig.kept() == []


def test_a_sheet_in_a_printer_that_goes_off_is_given_up_and_not_sent_again(rig):
    printer = rig.open()
    rig.device.say("media-low")
    ended = rig.begin(printer)
    rig.in_the_engine()  # a server whose sheet has not arrived whole pauses its queue
    rig.device.stop()
    assert isinstance(rig.wait(ended), PrinterFault)
    assert rig.kept() == []
    rig.device.say()
    rig.device.start()
    rig.open().check()
    assert len(rig.device.received()) <= 1
