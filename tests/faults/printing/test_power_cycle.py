"""The printer is switched off and on with a sheet in it: that sheet is unknown, and every later one is known again."""

import pytest

from kiosk.errors import PrinterFault, SheetUnknown
from tests.faults.printing.conftest import sheet
from tests.support.virtual_printer import wait_for

FORGOTTEN = "cups-ipp-missing-job-history"


def cycle_under(rig, key):
    """Switch the printer off and on under a begun sheet, and return what became of it."""
    (rig.device.folder / "begun").unlink(missing_ok=True)
    rig.device.say("media-low")
    ended = rig.begin(rig.open(patience_s=60.0), key)
    rig.in_the_engine()
    rig.device.stop()
    rig.device.say()
    rig.device.start()
    return rig.wait(ended)


@pytest.fixture
def forgotten(rig):
    """Return a rig whose queue keeps the reason of a power cycle."""
    assert isinstance(cycle_under(rig, "a1"), SheetUnknown)
    assert any(FORGOTTEN in reason for reason in rig.open()._queue.state().reasons)
    return rig


@pytest.mark.parametrize("patience_s", [0.2, 60.0])
def test_every_later_sheet_is_known_whatever_the_queue_still_says(forgotten, patience_s):
    (forgotten.device.folder / "pace").write_text("1.5")
    for key in ("a2", "a3"):
        assert forgotten.open(patience_s).print_sheet(sheet(key)).startswith("photo, job")
    forgotten.lab.kill()
    forgotten.lab.start()
    forgotten.open(patience_s).print_sheet(sheet("a4"))
    assert len(forgotten.device.came_out()) == 3


def test_a_second_power_cycle_is_noticed_though_the_queue_says_nothing_new(forgotten):
    forgotten.open().print_sheet(sheet("a2"))
    assert isinstance(cycle_under(forgotten, "a3"), SheetUnknown)
    assert len(forgotten.device.came_out()) == 1


def test_a_device_that_is_switched_off_with_a_sheet_in_it_is_unknown_however_long_it_stays_away(rig):
    rig.device.say("media-low")
    ended = rig.begin(rig.open())
    wait_for((rig.device.folder / "begun").exists, "the sheet was never begun")
    rig.device.stop()
    assert isinstance(rig.wait(ended), SheetUnknown)


def test_a_device_that_was_switched_off_between_two_sheets_is_believed_that_it_has_printed_none(rig):
    printer = rig.open()
    printer.print_sheet(sheet("a1"))
    rig.device.stop()
    rig.device.start()
    rig.device.say("media-empty")
    with pytest.raises(PrinterFault) as caught:
        printer.print_sheet(sheet("a2"))
    assert not isinstance(caught.value, SheetUnknown)
    assert printer.how_it_ended("a2") == "not_printed"
