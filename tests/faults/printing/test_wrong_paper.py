"""Another paper lies in the printer than its queue is set to: said before a sheet is sent."""

from dataclasses import replace

import pytest

from kiosk.core.sheet.media import medium
from kiosk.devices.cups.standing import DeviceStanding, read_standing
from kiosk.errors import PrinterFault
from tests.faults.printing.conftest import PHOTO_PRINTER, sheet
from tests.support.printer_lab import FIVE_SEVEN, INDEX


def test_a_printer_with_another_paper_gets_no_sheet_until_the_right_one_is_loaded(rig):
    rig.device.become(replace(PHOTO_PRINTER, loaded=(FIVE_SEVEN,)))
    printer = rig.open()
    for ask in (printer.check, lambda: printer.print_sheet(sheet())):
        with pytest.raises(PrinterFault, match=r"5x7in loaded and the sheets are 4x6in; load 4x6in"):
            ask()
    assert "load 4x6in" in printer.standing().obstacle
    assert rig.device.received() == []
    rig.device.become(replace(PHOTO_PRINTER, loaded=(FIVE_SEVEN, INDEX)))
    printer.print_sheet(sheet())


@pytest.mark.parametrize(
    ("loaded", "lacks"),
    [
        ((), False),
        ((INDEX,), False),
        (("na_index-4x6_6x4in",), False),
        (("roll_max_6x400in",), False),
        (("om_small-photo_100x150mm",), True),
        ((FIVE_SEVEN,), True),
        ((FIVE_SEVEN, INDEX), False),
    ],
)
def test_a_paper_is_known_by_its_size_and_what_says_none_may_be_right(loaded, lacks):
    assert bool(DeviceStanding(loaded=loaded).lacks(medium("4x6in"))) is lacks


def test_a_device_that_has_stopped_without_a_reason_is_an_obstacle():
    assert "does not say why" in read_standing({"printer-state": 5, "printer-state-reasons": "none"}).obstacle
    assert read_standing({"printer-state": 5, "printer-state-reasons": "cover-open"}).obstacle == "a cover is open"
    assert read_standing({"printer-state": 3}).obstacle == ""
