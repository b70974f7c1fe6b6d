"""The printer takes another format than its queue makes, as after new firmware: told before a sheet is sent."""

import pytest

from kiosk.errors import PrinterFault
from tests.faults.printing.conftest import sheet
from tests.support.printer_lab import EVEN, INDEX
from tests.support.virtual_printer import Model, paper


def test_a_printer_that_would_refuse_the_format_gets_no_sheet(rig):
    printer = rig.open()
    rig.device.become(Model((paper(INDEX, EVEN),), formats=("image/jpeg",)))
    with pytest.raises(PrinterFault, match=r"takes image/jpeg and its queue makes image/pwg-raster; set the queue up"):
        printer.print_sheet(sheet())
    with pytest.raises(PrinterFault, match="set the queue up anew"):
        printer.check()
    assert rig.device.received() == []
