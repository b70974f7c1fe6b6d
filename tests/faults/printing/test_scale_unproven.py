"""A queue never measured, off by too much, measured long ago or changed since prints no documents, and says why."""

from datetime import timedelta

import pytest

from kiosk.core.print_scale.proof import STALE_DAYS
from kiosk.core.print_scale.scale import Axis, Scale
from kiosk.errors import ScaleUnproven
from tests.faults.printing.conftest import sheet


def refused(rig):
    printer = rig.open()
    with pytest.raises(ScaleUnproven) as checked:
        printer.check()
    with pytest.raises(ScaleUnproven) as printed:
        printer.print_sheet(sheet())
    standing = printer.standing()
    assert str(checked.value) == str(printed.value) == standing.refusal
    assert standing.obstacle == ""
    assert "holdstill ruler" in standing.next_step
    assert rig.device.received() == []
    return standing.refusal


def test_a_queue_never_measured(rig):
    for file in (rig.folder / "scales").iterdir():
        file.unlink()
    assert refused(rig) == "The printer photo must not print documents: its scale was never measured."


def test_a_queue_that_is_off_by_more_than_half_a_percent(rig):
    rig.prove(Scale(Axis(1.0, 0.001), Axis(0.9952, 0.001)))
    assert "its height was -0.48 % off (± 0.10 %)" in refused(rig)


def test_a_queue_measured_long_ago(rig):
    rig.prove(days_ago=STALE_DAYS)
    rig.open().check()
    assert rig.open().standing().due
    rig.prove(days_ago=STALE_DAYS + 1)
    assert f"more than {STALE_DAYS} days ago" in refused(rig)


def test_a_queue_whose_driver_has_changed(rig):
    rig.lab.lpadmin("-p", "photo", "-o", "print-color-mode-default=monochrome", "-o", "ColorModel=Gray")
    assert "have changed since its scale was measured" in refused(rig)


def test_a_printer_that_cannot_be_reached_still_tells_of_its_scale(rig):
    rig.prove(days_ago=3)
    rig.lab.kill()
    standing = rig.open().standing()
    assert standing.obstacle == "The printer photo stopped: the print server does not answer."
    assert standing.refusal == ""
    assert standing.measured_on == rig.today - timedelta(days=3)
    assert standing.error == 0.0
