"""The print server's disk is full: the sheet does not arrive there whole, and none of it is printed."""

import pytest

from kiosk.errors import PrinterFault
from tests.faults.printing.conftest import sheet


def test_a_sheet_that_finds_no_room_is_a_fault_and_nothing_is_printed(rig):
    rig.lab.kill()
    rig.lab.start(largest_file_bytes=len(sheet().pdf) // 2)
    with pytest.raises(PrinterFault, match="disk may be full"):
        rig.open().print_sheet(sheet())
    assert rig.kept() == []
    assert rig.device.received() == []
