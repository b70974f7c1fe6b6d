"""Several papers as one printer: each sheet goes where its paper lies."""

import pytest

from kiosk.devices.base import PrintJob
from kiosk.devices.printer.by_paper import PrinterByPaper
from kiosk.errors import PrinterFault
from tests.devices.test_fallback import EMPTY, Told

USUAL, LARGE, OTHER = "na_index-4x6_4x6in", "na_5x7_5x7in", "iso_a4_210x297mm"


@pytest.fixture
def printers():
    return {USUAL: Told("usual"), LARGE: Told("large")}


def test_each_sheet_goes_where_its_paper_lies(printers):
    both = PrinterByPaper(printers)
    assert both.print_sheet(PrintJob("a1", b"%PDF", LARGE)) == "large"
    assert both.print_sheet(PrintJob("a2", b"%PDF", USUAL)) == "usual"
    assert (printers[LARGE].printed, printers[USUAL].printed) == (["a1"], ["a2"])
    assert [both.how_it_ended(key) for key in ("a1", "a2", "a3")] == ["printed", "printed", "not_printed"]


def test_a_sheet_for_a_paper_that_no_printer_has_is_refused(printers):
    with pytest.raises(PrinterFault, match="no printer has the paper iso_a4"):
        PrinterByPaper(printers).print_sheet(PrintJob("a1", b"%PDF", OTHER))


def test_it_could_print_only_while_every_paper_could_be_printed_on(printers):
    both = PrinterByPaper(printers)
    both.check()
    printers[LARGE].fault = EMPTY
    with pytest.raises(PrinterFault, match="the paper is used up"):
        both.check()
