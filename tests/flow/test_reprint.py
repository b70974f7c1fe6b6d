"""A sheet that was spoilt is printed again by the attendant, within its time and never by itself."""

import contextlib
import re
import sqlite3
import time
from fnmatch import fnmatch
from pathlib import Path

import pytest

from kiosk.core.session.booth_config import UNPRINTED_S
from kiosk.core.view.attendant import DeskIntent
from kiosk.core.view.kept_sheet import MOST_MINUTES
from kiosk.devices.base import PrintJob
from kiosk.devices.folder.printer import FolderPrinter
from kiosk.errors import PrinterFault, SettingsRefused
from kiosk.screens.toolkit.scene import PanelPlace
from kiosk.settings import read_settings
from kiosk.system.pin_hash import hash_pin
from tests.settings.test_settings import GOOD, written
from tests.support.pilot import Pilot
from tests.support.quick_booth import opened

PIN = "480217"
HASH = hash_pin(PIN)
PDF = b"%PDF-"
"""How a PDF begins (ISO 32000-2, 7.5.2)."""
PAGE = Path(__file__).parents[2] / "hardware" / "os" / "privacy.md"


def printed_once(pilot):
    pilot.to_align("gb-passport-print")
    pilot.until("review")
    pilot.tap("accept")
    pilot.until("collect")


def again(pilot):
    """Take the newest sheet on the list, and wait for its print, a real thread's."""
    pilot.order("show", "reprint")
    sheet = pilot.view.desk.kept[-1]
    pilot.order("reprint", sheet.key, rest_s=0.0)
    for _ in range(10_000):
        if sheet in pilot.parts.kept.offered():
            return
        time.sleep(0.001)
        pilot.advance(0.0)
    pytest.fail("the reprint never ended")


def kept(pilot, what):
    """Return what is in the ledger, read by SQL."""
    assert pilot.parts.ledger.flush(limit_s=60.0)
    with contextlib.closing(sqlite3.connect(pilot.folder / "ledger" / "ledger.sqlite3")) as ledger:
        return [row[0] for row in ledger.execute(what)]


@contextlib.contextmanager
def booth(folder, printer=None, reprint_minutes=15):
    with opened(folder, printer=printer, pin_hash=HASH, reprint_minutes=reprint_minutes) as (loop, parts):
        yield Pilot(loop, parts, folder)


def records(pilot):
    return sorted((pilot.folder / "prints").glob("*.json"))


@pytest.fixture(scope="module")
def reprinted(tmp_path_factory):
    folder = tmp_path_factory.mktemp("reprint")
    with booth(folder) as pilot:
        printed_once(pilot)
        pilot.tap("done")
        pilot.tap("done")
        pilot.kept_on_disk = [
            path.relative_to(folder).as_posix()
            for path in folder.rglob("*")
            if path.is_file() and (PDF in path.read_bytes() or b"\xff\xd8\xff" in path.read_bytes())
        ]
        pilot.sign_in(PIN)
        again(pilot)
        yield pilot


def test_the_same_sheet_is_printed_again_as_a_sheet_of_its_own(reprinted):
    sheets = [path.with_suffix(".pdf").read_bytes() for path in records(reprinted)]
    assert len(sheets) == 2
    assert sheets[0] == sheets[1]


def test_it_is_counted_as_a_reprint_of_the_first(reprinted):
    found = kept(reprinted, "select key || ' ' || coalesce(reprint_of, '') || ' ' || ended from sheet order by rowid")
    first, second = (row.split(" ") for row in found)
    assert (first[1], first[2]) == ("", "printed")
    assert (second[1], second[2]) == (first[0], "printed")
    assert kept(reprinted, "select count(distinct session_id) from sheet") == [1], "it belongs to its own sitter"
    assert kept(reprinted, "select act from attended order by id")[-1] == "reprinted"


def test_meanwhile_the_sheet_is_in_memory_alone(reprinted):
    assert [name for name in reprinted.kept_on_disk if not fnmatch(name, "prints/*.pdf")] == []


def test_the_sitter_was_told_before_the_camera_looked_and_at_the_end(reprinted):
    told = {view.state: view.sheet.kept_minutes for view in reprinted.views}
    assert {told[state] for state in ("privacy", "collect", "thanks")} == {15}


def test_when_the_time_is_over_it_is_overwritten_and_offered_no_more(reprinted):
    (sheet,) = reprinted.parts.kept._entries.values()
    assert sheet.pdf.startswith(PDF)
    reprinted.parts.clock.sleep(15 * 60.0)
    reprinted.advance(0.5)
    assert set(sheet.pdf) == {0}
    reprinted.sign_in(PIN)
    assert "reprint" not in reprinted.view.desk.orders
    assert "No sheet is kept now" in {line.name: line.words for line in reprinted.view.desk.lines}["Reprint"]
    reprinted.order("leave")


def test_nothing_is_kept_where_the_settings_do_not_ask_for_it(tmp_path):
    with booth(tmp_path, reprint_minutes=0) as pilot:
        printed_once(pilot)
        pilot.sign_in(PIN)
        assert pilot.parts.kept._entries == {}
        assert DeskIntent("show", "reprint") not in [target.act for target in pilot.parts.screen.stage.targets]


class Jams(FolderPrinter):
    jammed = True

    def check(self) -> None:
        if self.jammed:
            raise PrinterFault(printer=self.name, detail="paper is jammed")

    def print_sheet(self, job: PrintJob) -> str:
        self.check()
        return super().print_sheet(job)


def test_a_sheet_that_jammed_is_printed_when_the_printer_is_mended_without_a_new_photo(tmp_path):
    printer = Jams(tmp_path / "prints")
    printer.jammed = False
    with booth(tmp_path, printer) as pilot:
        pilot.to_align("gb-passport-print")
        pilot.until("review")
        printer.jammed = True
        pilot.tap("accept")
        pilot.until("unprinted")
        printer.jammed = False
        pilot.let_the_print_queue_look()
        pilot.parts.clock.sleep(UNPRINTED_S)
        pilot.advance(0.5)
        assert (pilot.view.state, pilot.view.trouble) == ("out_of_order", "sheet_not_printed")
        pilot.tap("done")
        assert pilot.view.state == "welcome"
        assert records(pilot) == []
        pilot.sign_in(PIN)
        again(pilot)
        assert len(records(pilot)) == 1
        assert kept(pilot, "select ended from sheet order by rowid") == ["not_printed", "printed"]


def test_the_sheet_of_a_sitter_who_has_the_photo_deleted_cannot_be_printed_again(tmp_path):
    printer = Jams(tmp_path / "prints")
    printer.jammed = False
    with booth(tmp_path, printer) as pilot:
        pilot.to_align("gb-passport-print")
        pilot.until("review")
        printer.jammed = True
        pilot.tap("accept")
        pilot.until("unprinted")
        pilot.advance(0.5)
        assert len(pilot.parts.kept.offered()) == 1
        pilot.touch(PanelPlace("delete"), 0.5)
        pilot.tap("start_again")
        assert pilot.parts.kept.offered() == ()


def test_a_reprint_that_jams_is_told_while_nobody_is_in_the_booth(tmp_path):
    printer = Jams(tmp_path / "prints")
    printer.jammed = False
    with booth(tmp_path, printer) as pilot:
        printed_once(pilot)
        pilot.tap("done")
        pilot.tap("done")
        printer.jammed = True
        pilot.sign_in(PIN)
        pilot.order("show", "reprint")
        pilot.order("reprint", pilot.view.desk.kept[0].key)
        pilot.until("out_of_order")
        assert "paper is jammed" in pilot.view.fault[0]
        printer.jammed = False
        pilot.until("welcome")


def test_a_reprint_that_comes_out_opens_a_booth_that_its_printer_had_shut(tmp_path):
    """Also before the printer was asked again by itself."""
    printer = Jams(tmp_path / "prints")
    printer.jammed = False
    with booth(tmp_path, printer) as pilot:
        printed_once(pilot)
        pilot.tap("done")
        pilot.tap("done")
        pilot.parts.prints._check_s = 600.0
        pilot.sign_in(PIN)
        for jammed, state in ((True, "out_of_order"), (False, "welcome")):
            printer.jammed = jammed
            pilot.order("show", "reprint")
            pilot.order("reprint", pilot.view.desk.kept[0].key)
            pilot.until(state)
        assert len(records(pilot)) == 2


@pytest.mark.parametrize(
    ("text", "detail"),
    [
        ("reprint_minutes = 15", "needs a pin_hash"),
        (f'pin_hash = "{HASH}"\nreprint_minutes = {MOST_MINUTES + 1}', f"less than or equal to {MOST_MINUTES}"),
        (f'pin_hash = "{HASH}"\nreprint_minutes = -1', "greater than or equal to 0"),
    ],
)
def test_the_time_is_off_bounded_and_needs_an_attendant(tmp_path, text, detail):
    assert read_settings(written(tmp_path, GOOD)).attendant.reprint_minutes == 0
    with pytest.raises(SettingsRefused, match=detail):
        read_settings(written(tmp_path, f"{GOOD}\n[attendant]\n{text}\n"))


def test_the_page_on_privacy_says_for_how_long(reprinted):
    page = " ".join(PAGE.read_text(encoding="utf-8").split())
    (most,) = re.findall(r"`attendant\.reprint_minutes`, (\d+) at most", page)
    assert int(most) == MOST_MINUTES
