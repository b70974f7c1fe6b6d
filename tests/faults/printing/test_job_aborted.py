"""The printer gives the sheet up."""

from kiosk.errors import PrinterFault


def test_a_sheet_that_the_printer_aborts_is_a_fault_and_does_not_stay(rig):
    printer = rig.open()
    rig.device.say("abort")
    assert isinstance(rig.wait(rig.begin(printer)), PrinterFault)
    assert rig.kept() == []
