"""What a printer says of itself: paper, ribbon, cover and the like; each with the words that the attendant reads."""

import pytest

from kiosk.devices.cups.hints import REASONS, reason_of
from kiosk.errors import PrinterFault
from tests.faults.printing.conftest import sheet
from tests.support.virtual_printer import wait_for

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
    "moving-to-paused": "it is being paused at the printer itself",
    "paused": "it is paused at the printer itself",
    "other": "it asks for somebody to look at it, and says no more",
}


@pytest.mark.parametrize("reason", REASONS, ids=lambda reason: reason.prefix)
@pytest.mark.parametrize("ending", ["", "-report", "-warning", "-error"])
def test_every_reason_has_its_words_whatever_its_ending(reason, ending):
    assert reason_of(["none", f"{reason.prefix}{ending}"]) == reason.meaning


def test_each_reason_that_needs_a_person_is_told_while_it_lasts_and_the_sheet_waits_for_it(rig):
    ended = rig.begin(rig.open(patience_s=600.0))
    other = rig.open()
    for keyword, words in SAID.items():
        rig.device.say(keyword)
        wait_for(lambda words=words: words in fault_of(other), f"{keyword} was never told")
    rig.device.say()
    assert isinstance(rig.wait(ended), str)
    assert fault_of(other) == ""


def fault_of(printer):
    """Return what a check of the printer tells."""
    try:
        printer.check()
    except PrinterFault as fault:
        return str(fault)
    return ""


def test_what_only_warns_keeps_no_sheet(rig):
    printer = rig.open()
    rig.device.say("marker-supply-low-report")
    ended = rig.begin(printer)
    rig.on_its_way()
    rig.device.say()
    assert isinstance(rig.wait(ended), str)


@pytest.mark.parametrize("keyword", ["paused", "moving-to-paused", "other"])
def test_a_printer_that_waits_for_somebody_ends_the_wait_with_the_word_for_it(rig, keyword):
    printer = rig.open()
    printer.print_sheet(sheet("a0"))
    rig.device.say(keyword)
    with pytest.raises(PrinterFault, match=SAID[keyword]):
        printer.print_sheet(sheet())


def test_a_cover_closed_in_time_loses_no_sheet(rig):
    printer, other = rig.open(patience_s=600.0), rig.open()
    rig.device.say("cover-open-warning")
    ended = rig.begin(printer)
    wait_for(lambda: SAID["cover-open"] in fault_of(other), "the open cover was never told")
    rig.device.say()
    assert isinstance(rig.wait(ended), str)
