"""The printer gives the sheet up.

CUPS 2.4.2 calls about one such sheet in two `completed`, seen in its log: two threads of its ipp backend ask for the
job's state, and where the one that does not look for `aborted` asks first, the backend exits without an error. The
device itself is asked, so every one of them is a fault.
"""

import pytest

from kiosk.errors import SheetUnknown
from tests.faults.printing.conftest import sheet

SHEETS = 3


def test_every_sheet_that_the_printer_aborts_is_told_and_none_is_sent_again(rig):
    printer = rig.open()
    rig.device.say("abort")
    for number in range(SHEETS):
        with pytest.raises(SheetUnknown, match="gave the sheet up"):
            printer.print_sheet(sheet(f"a{number}"))
        with pytest.raises(SheetUnknown):
            printer.print_sheet(sheet(f"a{number}"))
        assert rig.kept() == []
    assert len(rig.device.received()) == SHEETS
