"""Somebody cancels the sheet at the print server, too late for its engine: what the printer says of it holds."""

from kiosk.errors import SheetUnknown
from tests.faults.printing.conftest import RECALL_S, STAYS_S


def cancelled(rig, recall_s=RECALL_S):
    """Cancel a sheet that its engine has begun, and return what becomes of it."""
    rig.device.say("media-low")
    ended = rig.begin(rig.open(recall_s=recall_s))
    rig.in_the_engine()
    rig.lab.run("/usr/bin/cancel", "-a", "photo")
    return ended


def test_a_cancelled_sheet_that_comes_out_all_the_same_is_a_printed_one(rig):
    ended = cancelled(rig)
    rig.device.say()
    assert str(rig.wait(ended)).startswith("photo, job")
    assert len(rig.device.came_out()) == 1
    assert rig.kept() == []


def test_a_cancelled_sheet_that_stays_in_the_engine_is_unknown(rig):
    assert isinstance(rig.wait(cancelled(rig, STAYS_S)), SheetUnknown)
    assert rig.kept() == []
