"""A printer calls several sheets done and has counted fewer: whether all of them came out is unknown."""

from dataclasses import replace

import pytest

from kiosk.errors import SheetUnknown
from tests.faults.printing.conftest import sheet


def test_two_sheets_are_printed_where_both_are_counted_and_unknown_where_one_is(rig):
    printer, both = rig.open(), replace(sheet(), copies=2)
    printer.print_sheet(both)
    (rig.device.folder / "counted").write_text("1")
    with pytest.raises(SheetUnknown, match="it counted 1 of 2 pieces of paper"):
        printer.print_sheet(replace(both, key="a2"))
