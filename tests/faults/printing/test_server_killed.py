"""The print server is killed with a sheet on its way: it is never sent again, and a person is asked."""

import time

import pytest

from kiosk.errors import PrinterFault, SheetUnknown
from tests.faults.printing.conftest import sheet

AGAIN_S = 4.0
"""By then a sheet that was sent again has come out, too."""


def test_a_sheet_in_a_killed_server_is_unknown_and_never_printed_twice(rig):
    printer = rig.open()
    rig.device.say("media-low")
    ended = rig.begin(printer)
    rig.on_its_way()
    rig.lab.kill()
    assert isinstance(rig.wait(ended), SheetUnknown)
    rig.lab.start()
    printer.check()
    assert rig.kept() == []
    rig.device.say()
    with pytest.raises(SheetUnknown):
        printer.print_sheet(sheet())
    with pytest.raises(SheetUnknown):
        rig.open().print_sheet(sheet())
    assert len(rig.device.received()) <= 1


@pytest.mark.parametrize("down_s", [0.0, 2.0])
def test_a_sheet_that_a_new_server_sends_again_is_not_called_printed(rig, down_s):
    """It does so as soon as it starts, before anybody can call the sheet back."""
    printer = rig.open()
    printer.print_sheet(sheet("a0"))
    (rig.device.folder / "pace").write_text("1.5")
    ended = rig.begin(printer)
    rig.on_its_way(sheets=2)
    rig.lab.kill()
    time.sleep(down_s)
    rig.lab.start()
    assert isinstance(rig.wait(ended), SheetUnknown)
    printer.check()
    time.sleep(AGAIN_S)
    assert rig.kept() == []
    assert len(rig.device.came_out()) - 1 <= 2


def test_a_server_that_is_down_is_told_and_the_sheet_may_be_printed_later(rig):
    rig.lab.kill()
    printer = rig.open()
    with pytest.raises(PrinterFault, match="the print server does not answer"):
        printer.check()
    with pytest.raises(PrinterFault, match="the print server does not answer"):
        printer.print_sheet(sheet())
    rig.lab.start()
    printer.print_sheet(sheet())
    assert len(rig.device.received()) == 1


def test_a_server_that_starts_again_leaves_the_proof_as_it_was(rig):
    """CUPS 2.4.2 works one default out anew at each start, and differently in one of several."""
    for _ in range(6):
        rig.lab.kill()
        rig.lab.start()
        rig.open().check()
