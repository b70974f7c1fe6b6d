"""No fault: what the other files of this folder differ from."""

from tests.faults.printing.conftest import RED, sheet
from tests.support.printed import read_pwg


def test_a_sheet_is_printed_once_and_nothing_of_it_stays(rig):
    printer = rig.open()
    printer.check()
    printer.print_sheet(sheet())
    printer.print_sheet(sheet())
    (received,) = rig.device.received()
    left, top, width, height = read_pwg(received).box_mm(RED)
    assert abs(width - 35.0) < 0.05
    assert abs(height - 45.0) < 0.05
    assert abs(left - 25.4) < 0.05
    assert abs(top - 25.4) < 0.05
    assert rig.kept() == []
