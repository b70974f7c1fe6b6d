"""A sheet called back from a printer without paper does not come out when somebody puts paper in."""

import pytest

from kiosk.devices.cups.device import device_of
from kiosk.errors import PrinterFault, SheetUnknown
from tests.faults.printing.conftest import sheet

CANCELED = 7


def test_the_device_itself_is_told_that_the_sheet_is_called_back_and_its_count_proves_that_it_was_not_begun(rig):
    printer = rig.open()
    printer.print_sheet(sheet("a0"))
    rig.device.say("media-empty-error")
    with pytest.raises(PrinterFault, match="the paper is used up") as called_back:
        printer.print_sheet(sheet())
    assert not isinstance(called_back.value, SheetUnknown)
    _, job = sorted(device_of(rig.device.uri).jobs().items())
    assert (job[1].state, job[1].impressions) == (CANCELED, 0)
    rig.device.say()
    printer.print_sheet(sheet())
    assert len(rig.device.came_out()) == 2


def test_a_device_that_counts_nothing_leaves_a_sheet_that_was_called_back_unknown(rig):
    (rig.device.folder / "uncounted").touch()
    printer = rig.open()
    printer.print_sheet(sheet("a0"))
    rig.device.say("media-empty-error")
    with pytest.raises(SheetUnknown, match="the paper is used up"):
        printer.print_sheet(sheet())
