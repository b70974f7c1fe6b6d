"""A sheet called back from a printer without paper does not come out when somebody puts paper in."""

import pytest

from kiosk.devices.cups.device import device_of
from kiosk.errors import PrinterFault, SheetUnknown
from tests.faults.printing.conftest import sheet
from tests.support.printer_lab import wait_for

CANCELED = 7


def test_the_device_itself_is_told_that_the_sheet_is_called_back(rig):
    printer = rig.open()
    rig.device.say("media-empty-error")
    with pytest.raises(PrinterFault, match="the paper is used up") as called_back:
        printer.print_sheet(sheet())
    assert not isinstance(called_back.value, SheetUnknown)
    device = device_of(rig.device.uri)
    (job,) = device.jobs().values()
    assert job.is_stopping
    rig.device.say()
    wait_for(lambda: all(job.has_ended for job in device.jobs().values()), "the sheet never ended")
    assert [job.state for job in device.jobs().values()] == [CANCELED]
