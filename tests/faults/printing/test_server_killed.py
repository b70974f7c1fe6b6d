"""The print server is killed with a sheet on its way: it is never sent again, and a person is asked."""

import pytest

from kiosk.errors import PrinterFault, SheetUnknown
from tests.faults.printing.conftest import sheet


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
