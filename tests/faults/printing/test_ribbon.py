"""A printer's ribbon ends: the attendant is told before it does, and no sheet is sent to a printer that has none."""

from dataclasses import replace

import pytest

from kiosk.devices.cups.standing import FEW_PERCENT, read_standing
from kiosk.errors import PrinterFault
from kiosk.ready.printer import printer_findings
from tests.faults.printing.conftest import PHOTO_PRINTER, driven_printer, sheet

DRIVER = """#!/bin/sh
# Reports what is left as Gutenprint's backend does for a dye-sublimation printer on the USB.
echo "ATTR: marker-colors=#00FFFF#FF00FF#FFFF00 marker-low-levels=10 marker-names=Ribbon marker-types=ribbonWax" >&2
echo "ATTR: marker-levels=$(cat "$(dirname "$0")/left")" >&2
echo "PAGE: 1 1" >&2
cat "${6:--}"
"""


def test_a_ribbon_at_two_percent_is_warned_of_with_the_limit_and_still_prints(rig):
    rig.device.become(replace(PHOTO_PRINTER, ribbon_percent=2))
    printer = rig.open()
    (found,) = [one for one in printer_findings([printer.standing()], rig.today) if one.name == "printer_supply"]
    assert (found.grade, found.value) == ("warn", 2)
    assert f"Ribbon of photo is at 2 %; from {FEW_PERCENT} % on it is low." in found.sentence
    printer.print_sheet(sheet())


def test_a_printer_without_a_ribbon_gets_no_sheet_until_it_has_another(rig):
    rig.device.become(replace(PHOTO_PRINTER, ribbon_percent=0))
    printer = rig.open()
    for ask in (printer.check, lambda: printer.print_sheet(sheet())):
        with pytest.raises(PrinterFault, match="Ribbon is used up"):
            ask()
    assert rig.device.received() == []
    rig.device.become(replace(PHOTO_PRINTER, ribbon_percent=100))
    printer.print_sheet(sheet())
    assert printer.notice == ""


def test_what_is_left_is_read_before_each_sheet(rig):
    printer = rig.open()
    printer.check()
    assert printer.notice == ""
    rig.device.become(replace(PHOTO_PRINTER, ribbon_percent=2))
    printer.print_sheet(sheet())
    assert printer.notice == "Ribbon of photo is at 2 %."


def test_a_printer_that_cannot_be_asked_is_known_by_its_driver_whose_last_word_keeps_no_sheet(tmp_path):
    with driven_printer(tmp_path, DRIVER) as (printer, folder):
        printer.check()
        assert printer.notice == ""
        for percent in (2, 0, 100):
            (folder / "left").write_text(str(percent))
            printer.print_sheet(sheet(f"at{percent}"))
            printer.check()
            assert printer.notice == (f"Ribbon of dye is at {percent} %." if percent < 100 else "")
        assert printer.standing().supplies[0].few_percent == 10


@pytest.mark.parametrize(
    ("said", "levels"),
    [
        ({}, []),
        ({"marker-names": "Ribbon", "marker-levels": 2}, [(2, FEW_PERCENT, True)]),
        ({"marker-names": "Ribbon", "marker-levels": -2}, []),
        (
            {"marker-names": ["C", "M"], "marker-levels": [80, 9], "marker-low-levels": [10, 10]},
            [(80, 10, False), (9, 10, True)],
        ),
        ({"marker-names": ["C", "M"], "marker-levels": [80]}, [(80, FEW_PERCENT, False)]),
        (
            {"marker-names": ["K", "Waste"], "marker-levels": [80, 0], "marker-types": ["ink", "wasteInk"]},
            [(80, FEW_PERCENT, False)],
        ),
    ],
)
def test_only_levels_that_are_stated_count_and_the_printers_own_limit_holds(said, levels):
    found = read_standing(said).supplies
    assert [(one.percent, one.few_percent, one.is_low) for one in found] == levels


@pytest.mark.parametrize(
    ("kind", "used_up"),
    [(None, True), ("ink-cartridge", True), ("ribbonWax", True), ("tonerCartridge", True), ("fuser", False)],
)
def test_a_sheet_needs_what_it_is_made_with_and_no_more(kind, used_up):
    said = {"marker-names": "Part", "marker-levels": 0, "marker-types": kind}
    assert read_standing(said).used_up == (("Part",) if used_up else ())
    assert read_standing({**said, "marker-levels": 1}).used_up == ()
