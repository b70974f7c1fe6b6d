"""A printer's ribbon ends: the attendant is told before it does, and no sheet is sent to a printer that has none."""

from dataclasses import replace

import pytest

from kiosk.core.print_scale.proof import RulerPage, prove
from kiosk.core.sheet.imposition import Margins
from kiosk.core.sheet.media import medium
from kiosk.devices.cups.connection import Queue
from kiosk.devices.cups.options import QUALITY
from kiosk.devices.cups.printer import CupsPrinter
from kiosk.devices.cups.set_up import Printing
from kiosk.devices.cups.standing import FEW_PERCENT, read_standing
from kiosk.errors import PrinterFault
from kiosk.ready.printer import printer_findings
from kiosk.store.printing.job_journal import JobJournal
from kiosk.store.printing.scales import Scales
from kiosk.system.clock import SystemClock
from tests.faults.printing.conftest import PHOTO_PRINTER, RULER, TRUE, sheet
from tests.support.printer_lab import INDEX, printer_lab

PPD = """*PPD-Adobe: "4.3"
*FormatVersion: "4.3"
*FileVersion: "1.0"
*LanguageVersion: English
*LanguageEncoding: ISOLatin1
*Manufacturer: "Dye"
*ModelName: "Dye"
*ShortNickName: "Dye"
*NickName: "Dye"
*PCFileName: "DYE.PPD"
*Product: "(Dye)"
*PSVersion: "(3010.000) 0"
*DefaultResolution: 300dpi
*OpenUI *PageSize/Size: PickOne
*DefaultPageSize: 4x6
*PageSize 4x6/4x6: "<</PageSize[288 432]>>setpagedevice"
*CloseUI: *PageSize
*OpenUI *PageRegion/Size: PickOne
*DefaultPageRegion: 4x6
*PageRegion 4x6/4x6: "<</PageSize[288 432]>>setpagedevice"
*CloseUI: *PageRegion
*DefaultImageableArea: 4x6
*ImageableArea 4x6/4x6: "0 0 288 432"
*DefaultPaperDimension: 4x6
*PaperDimension 4x6/4x6: "288 432"
*cupsFilter: "application/pdf 0 {driver}"
"""
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
    with printer_lab() as lab:
        driver, left = lab.folder / "driver", lab.folder / "left"
        driver.write_text(DRIVER)
        driver.chmod(0o755)
        (lab.folder / "dye.ppd").write_text(PPD.format(driver=driver))
        lab.lpadmin("-p", "dye", "-E", "-v", "file:/dev/null", "-P", str(lab.folder / "dye.ppd"))
        how, kept = Printing(medium("4x6in"), Margins()), (Scales(tmp_path / "scales"), JobJournal(tmp_path / "jobs"))
        printer = CupsPrinter(Queue("dye", port=lab.port), how, *kept, SystemClock())
        page = RulerPage(1, RULER, TRUE, printer.scale.set_up().digest, SystemClock().today())
        kept[0].put("dye", INDEX, QUALITY, prove(page, TRUE))
        printer.check()
        assert printer.notice == ""
        for percent in (2, 0, 100):
            left.write_text(str(percent))
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
