"""Two printers as one, each of them a double that does as it is told."""

import pytest

from kiosk.devices.base import PrintJob
from kiosk.devices.printer.by_paper import PrinterByPaper
from kiosk.devices.printer.fallback import FallbackPrinter
from kiosk.errors import PrinterFault, ScaleUnproven, SheetUnknown

JOB = PrintJob("a1", b"%PDF", "na_index-4x6_4x6in")


class Told:
    """A printer that fails as it is told, and counts what it prints."""

    def __init__(self, name, fault=None):
        self.name = name
        self.notice = ""
        self.fault = fault
        self.printed = []
        self.checks = 0

    def check(self):
        self.checks += 1
        if self.fault:
            raise self.fault

    def print_sheet(self, job):
        self.check()
        self.printed.append(job.key)
        return self.name

    def how_it_ended(self, key):
        return "printed" if key in self.printed else "not_printed"


EMPTY = PrinterFault(printer="first", detail="the paper is used up")
OFF = ScaleUnproven(printer="second", detail="its scale was never measured")


def test_the_first_prints_while_it_can():
    first, second = Told("first"), Told("second")
    both = FallbackPrinter(first, second)
    assert both.print_sheet(JOB) == "first"
    assert (first.printed, second.printed) == (["a1"], [])
    assert both.how_it_ended("a1") == "printed"
    assert both.name == "first or second"


def test_what_both_want_to_be_looked_at_for_is_told_together():
    first, second = Told("first"), Told("second")
    both = PrinterByPaper({"4x6in": FallbackPrinter(first, second), "5x7in": Told("wide")})
    assert both.notice == ""
    first.notice, second.notice = "Ribbon of first is at 2 %.", "Ribbon of second is at 4 %."
    assert both.notice == "Ribbon of first is at 2 %. Ribbon of second is at 4 %."


@pytest.mark.parametrize("fault", [None, EMPTY])
def test_each_printer_is_asked_whatever_another_says_for_it_removes_what_a_crash_has_left_with_it(fault):
    first, second, wide = Told("first", fault), Told("second", OFF), Told("wide")
    all_of_them = PrinterByPaper({"4x6in": FallbackPrinter(first, second), "5x7in": wide})
    if fault is None:
        all_of_them.check()
    else:
        with pytest.raises(PrinterFault) as told:
            all_of_them.check()
        assert told.value is fault
    assert (first.checks, second.checks, wide.checks) == (1, 1, 1)


@pytest.mark.parametrize("fault", [EMPTY, ScaleUnproven(printer="first", detail="…")])
def test_the_second_prints_what_the_first_surely_did_not(fault):
    both = FallbackPrinter(Told("first", fault), Told("second"))
    both.check()
    assert both.print_sheet(JOB) == "second"


def test_a_sheet_that_may_have_come_out_goes_to_no_other():
    second = Told("second")
    both = FallbackPrinter(Told("first", SheetUnknown(printer="first", detail="…")), second)
    with pytest.raises(SheetUnknown):
        both.print_sheet(JOB)
    assert second.printed == []


def test_where_neither_can_the_fault_of_the_first_is_told():
    both = FallbackPrinter(Told("first", EMPTY), Told("second", OFF))
    for ask in (both.check, lambda: both.print_sheet(JOB)):
        with pytest.raises(PrinterFault) as told:
            ask()
        assert told.value is EMPTY


def test_an_unknown_end_on_the_second_is_told_as_unknown():
    both = FallbackPrinter(Told("first", EMPTY), Told("second", SheetUnknown(printer="second", detail="…")))
    with pytest.raises(SheetUnknown, match="second"):
        both.print_sheet(JOB)
