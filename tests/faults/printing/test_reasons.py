"""What a printer says of itself: paper, ribbon, cover and the like; each with the words that the attendant reads."""

import pytest

from kiosk.devices.cups.hints import REASONS, reason_of
from kiosk.errors import PrinterFault
from tests.faults.printing.conftest import sheet

# The keywords that ippeveprinter can be made to report.
SAID = {
    "media-empty": "the paper is used up",
    "media-needed": "it asks for paper",
    "media-jam": "the paper has jammed",
    "cover-open": "a cover is open",
    "marker-supply-empty": "the ribbon or ink is used up",
    "marker-waste-full": "its waste container is full",
    "input-tray-missing": "the paper tray is missing",
    "toner-empty": "the toner is used up",
}


@pytest.mark.parametrize("reason", REASONS, ids=lambda reason: reason.prefix)
@pytest.mark.parametrize("ending", ["", "-report", "-warning", "-error"])
def test_every_reason_has_its_words_whatever_its_ending(reason, ending):
    assert reason_of(["none", f"{reason.prefix}{ending}"]) == reason.meaning


@pytest.mark.parametrize("keyword", SAID)
def test_a_printer_that_needs_a_person_is_told_and_the_sheet_called_back(rig, keyword):
    printer = rig.open()
    rig.device.say(keyword)
    with pytest.raises(PrinterFault, match=SAID[keyword]):
        printer.print_sheet(sheet())
    assert rig.kept() == []
    with pytest.raises(PrinterFault, match=SAID[keyword]):
        printer.check()


def test_what_only_warns_keeps_no_sheet(rig):
    printer = rig.open()
    rig.device.say("marker-supply-low-report")
    ended = rig.begin(printer)
    rig.on_its_way()
    rig.device.say()
    assert isinstance(rig.wait(ended), str)


def test_a_cover_closed_in_time_loses_no_sheet(rig):
    printer = rig.open()
    rig.device.say("cover-open-warning")
    ended = rig.begin(printer)
    rig.on_its_way()
    rig.device.say()
    assert isinstance(rig.wait(ended), str)
