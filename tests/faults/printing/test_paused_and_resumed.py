"""A queue is paused with a sheet in the engine and resumed soon after: the server would send the sheet again."""

import time

import pytest

from kiosk.errors import SheetUnknown
from tests.faults.printing.conftest import sheet
from tests.support.virtual_printer import wait_for

AGAIN_S = 4.0
"""By then a sheet that was sent again has come out, too."""


@pytest.mark.parametrize("apart_s", [0.2, 3.0])
def test_a_begun_sheet_comes_out_once_or_is_not_called_printed(rig, apart_s):
    printer = rig.open(patience_s=15.0)
    printer.print_sheet(sheet("a0"))
    (rig.device.folder / "begun").unlink()
    (rig.device.folder / "pace").write_text("1.5")
    ended = rig.begin(printer)
    wait_for((rig.device.folder / "begun").exists, "the sheet was never begun")
    rig.lab.connection().disablePrinter("photo")
    time.sleep(apart_s)
    rig.lab.connection().enablePrinter("photo")
    is_unknown = isinstance(rig.wait(ended), SheetUnknown)
    time.sleep(AGAIN_S)
    sheets = len(rig.device.came_out()) - 1
    assert sheets == 1 or (sheets == 2 and is_unknown)
    assert sheets == 1 or apart_s < 1.0, "a pause that can be noticed is noticed"
