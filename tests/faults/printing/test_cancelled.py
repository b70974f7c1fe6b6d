"""Somebody cancels the sheet at the print server: it may be out in part, so a person is asked."""

from kiosk.errors import PrinterFault


def test_a_cancelled_sheet_is_no_printed_one(rig):
    printer = rig.open()
    rig.device.say("media-low")
    ended = rig.begin(printer)
    rig.on_its_way()
    rig.lab.run("/usr/bin/cancel", "-a", "photo")
    rig.device.say()
    assert isinstance(rig.wait(ended), PrinterFault)
    assert rig.kept() == []
