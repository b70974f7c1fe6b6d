"""The print server's disk is full: the sheet does not arrive there whole, and none of it is printed."""

import pytest

from kiosk.errors import PrinterFault
from tests.faults.printing.conftest import sheet


def test_a_sheet_that_finds_no_room_is_a_fault_and_nothing_is_printed(rig):
    rig.lab.kill()
    rig.lab.start(largest_file_bytes=len(sheet().pdf) // 2)
    # The server may close the connection before its answer is read.
    with pytest.raises(PrinterFault, match=r"disk may be full|does not answer"):
        rig.open().print_sheet(sheet())
    assert rig.kept() == []
    assert rig.device.received() == []
