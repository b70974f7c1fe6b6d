"""Sheets kept for a reprint: for their time, in their number, one print at a time, and overwritten."""

from kiosk.core.session.facts import SheetBegun
from kiosk.core.view.kept_sheet import MOST_SHEETS
from kiosk.store.kept_sheets import KeptSheets
from tests.support.manual_clock import ManualClock

CLOCK_S = 600.0


def kept(*keys, clock=None, ended=True):
    sheets = KeptSheets(CLOCK_S, clock or ManualClock())
    for key in keys:
        sheets.keep(b"%PDF " + key.encode(), SheetBegun(key, "gb-passport-print", "na_index-4x6_4x6in", 8), "Passport")
        if ended:
            sheets.ended(key)
    return sheets


def test_a_sheet_is_offered_when_its_print_has_ended_and_until_its_time_is_over():
    clock = ManualClock()
    sheets = kept("a", clock=clock, ended=False)
    assert sheets.offered() == ()
    sheets.ended("a")
    assert [sheet.key for sheet in sheets.offered()] == ["a"]
    clock.sleep(CLOCK_S - 1)
    assert len(sheets.offered()) == 1
    clock.sleep(1)
    assert sheets.again("a") is None, "also before anybody has looked"
    assert sheets.offered() == ()


def test_an_order_given_twice_prints_once():
    sheets = kept("a")
    pdf, begun = sheets.again("a")
    assert (pdf, begun.reprint_of) == (b"%PDF a", "a")
    assert begun.key != "a"
    assert sheets.again("a") is None
    assert sheets.offered() == ()
    sheets.ended("another")
    assert sheets.offered() == ()
    sheets.ended(begun.key)
    assert sheets.again("a")[1].key != begun.key


def test_the_oldest_gives_way_and_is_overwritten():
    sheets = kept("0")
    oldest = sheets._entries["0"].pdf
    for number in range(1, MOST_SHEETS + 1):
        sheets.keep(b"%PDF", SheetBegun(str(number), "d", "m", 8), "Passport")
        sheets.ended(str(number))
    assert [sheet.key for sheet in sheets.offered()] == [str(number) for number in range(1, MOST_SHEETS + 1)]
    assert set(oldest) == {0}


def test_all_are_overwritten_at_the_end():
    sheets = kept("a", "b")
    memory = [sheet.pdf for sheet in sheets._entries.values()]
    sheets.wipe()
    assert [set(pdf) for pdf in memory] == [{0}, {0}]
    assert sheets.offered() == ()


def test_no_picture_shows_in_what_is_logged():
    assert "PDF" not in repr(kept("a")._entries)
