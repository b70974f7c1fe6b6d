"""The desk of an event, whole: found on the roster, photographed, printed behind the back of the next guest."""

import io
from contextlib import closing
from datetime import date
from pathlib import Path

import pytest
import zxingcpp
from pypdf import PdfReader

from kiosk.catalogue.badge_designs import PHOTO_RULES, photo_document, read_design
from kiosk.core.event.roster import Person
from kiosk.core.session.booth_config import Reception
from kiosk.core.view.intent import Intent
from kiosk.devices.base import PrintJob
from kiosk.devices.folder.printer import FolderPrinter
from kiosk.devices.sim.scenario import Pose, Scenario
from kiosk.errors import PrinterFault
from kiosk.event.roster_worker import RosterWorker
from kiosk.store.roster.database import Database
from kiosk.store.roster.photo_export import PhotoExport
from kiosk.store.roster.roster import Roster
from tests.render.test_badge import rendered
from tests.support.held_up import Held, HoldingDriver, code128, qr
from tests.support.inline_executor import InlineExecutor
from tests.support.manual_clock import ManualClock
from tests.support.pilot import TODAY, booth
from tests.support.shipped import CATALOGUE

DESIGN = read_design(Path(__file__).parents[2] / "specs" / "badges" / "card-photo-left.toml")
PEOPLE = [("E1", "Ada Lind"), ("E2", "Adele Öz"), ("E3", "Βίκυ Ρήγα")]
STILL = Scenario(seed=3, arrives_s=0.0, begins=Pose())
DAY = date(2027, 1, 31)


@pytest.fixture
def roster(tmp_path):
    with closing(Roster(Database(f"sqlite:///{tmp_path / 'event.db'}"), "desk", ManualClock(day=TODAY))) as roster:
        people = [Person(key, {"id": key, "name": name, "role": "visitor", "organisation": ""}) for key, name in PEOPLE]
        roster.import_list(people)
        yield roster


@pytest.fixture
def event(tmp_path, roster):
    document = photo_document(DESIGN, DESIGN.photo, CATALOGUE.get(PHOTO_RULES["free"]))
    own = Roster(Database(f"sqlite:///{tmp_path / 'event.db'}"), "desk", ManualClock(day=TODAY))
    desk = RosterWorker(DESIGN, own, ManualClock(day=TODAY), PhotoExport(tmp_path / "photos", DAY), InlineExecutor())
    return desk, Reception(document, DAY)


def find(pilot, letters, guest):
    pilot.advance(0.5)
    pilot.tap("start")
    for letter in letters:
        pilot.tap("type", letter)
    pilot.tap("guest", guest)


def badges_of(roster, key):
    (expected,) = roster.find(key)
    return [(badge.state, badge.with_photo) for badge in expected.badges]


def settle(pilot, roster, key):
    """Let time pass until what became of a badge is noted, which the print queue's real thread tells."""
    pilot.wait_for(lambda: badges_of(roster, key)[-1][0] != "begun")


def test_a_guest_leaves_with_a_badge_and_the_next_one_is_coached_meanwhile(tmp_path, roster, event):
    with booth(tmp_path, scenario=STILL, event=event, paper="card") as pilot:
        find(pilot, "ada", "E1")
        pilot.tap("agree")
        pilot.until("collect")
        assert pilot.view.event.guest.name == "Ada Lind"
        assert pilot.states[-4:] == ["shooting", "measuring", "printing", "collect"]
        assert [path.name for path in (tmp_path / "session").iterdir() if "session" not in path.name] == []
        pilot.until("welcome")
        find(pilot, "ade", "E2")
        pilot.tap("agree")
        pilot.until("align")
        settle(pilot, roster, "E1")
    assert badges_of(roster, "E1") == [("printed", True)]
    (sheet,) = (tmp_path / "prints").glob("*.pdf")
    size_mm = [float(side) / 72 * 25.4 for side in PdfReader(io.BytesIO(sheet.read_bytes())).pages[0].mediabox[2:]]
    assert size_mm == pytest.approx([53.98, 85.60], abs=1e-4)  # ISO/IEC 7810, ID-1, the short side first
    (code,) = zxingcpp.read_barcodes(rendered(sheet.read_bytes(), tmp_path, 300))
    assert code.text == "E1"
    assert not (tmp_path / "photos").exists()


def test_whoever_wants_no_photo_has_a_badge_without_one_and_no_picture_is_taken(tmp_path, roster, event):
    with booth(tmp_path, scenario=STILL, event=event, paper="card") as pilot:
        find(pilot, "βι", "E3")
        pilot.tap("without_photo", rest_s=0.1)
        pilot.until("collect")
        settle(pilot, roster, "E3")
    assert "shooting" not in pilot.states
    assert badges_of(roster, "E3") == [("printed", False)]


def test_a_photo_is_kept_for_the_organiser_only_where_the_guest_allows_it(tmp_path, roster, event):
    with booth(tmp_path, scenario=STILL, event=event, paper="card") as pilot:
        find(pilot, "ada", "E1")
        pilot.tap("share")
        pilot.tap("agree")
        pilot.until("collect")
        settle(pilot, roster, "E1")
    assert sorted(path.name for path in (tmp_path / "photos").iterdir()) == ["E1.jpg", "delete-on.txt"]


def test_a_guest_who_has_a_badge_is_shown_and_not_printed_again(tmp_path, roster, event):
    roster.end(roster.begin("E1", with_photo=False), "printed")
    with booth(tmp_path, scenario=STILL, event=event, paper="card") as pilot:
        find(pilot, "ada", "E1")
        assert pilot.view.state == "find"
        assert pilot.view.event.search.guests[0].has_badge


def test_another_station_that_is_faster_is_told_to_the_guest(tmp_path, roster, event):
    with booth(tmp_path, scenario=STILL, event=event, paper="card") as pilot:
        find(pilot, "ada", "E1")
        roster.end(roster.begin("E1", with_photo=False), "printed")
        pilot.tap("without_photo", rest_s=0.5)
        pilot.until("find")
        assert "has a badge" in pilot.view.fault[0]
    assert len(badges_of(roster, "E1")) == 1


class Jammed(FolderPrinter):
    def print_sheet(self, job: PrintJob) -> str:
        raise PrinterFault(printer=self.name, detail="paper is jammed")


def test_a_badge_that_did_not_come_out_can_be_printed_again(tmp_path, roster, event):
    printer = Jammed(tmp_path / "prints", ManualClock(day=TODAY))
    with booth(tmp_path, scenario=STILL, event=event, paper="card", printer=printer) as pilot:
        find(pilot, "ada", "E1")
        pilot.tap("without_photo", rest_s=0.1)
        pilot.until("collect", "welcome", "out_of_order")
        settle(pilot, roster, "E1")
    assert badges_of(roster, "E1") == [("failed", False)]
    assert roster.begin("E1", with_photo=False).number == 2


def hold_up(pilot, *code):
    pilot.parts.camera._driver.hold_up(*code)


@pytest.mark.parametrize("code", [qr, code128])
def test_a_guest_who_holds_an_invitation_up_is_found_without_a_touch_and_nobody_is_looked_at(
    tmp_path, roster, event, code, monkeypatch
):
    with booth(tmp_path, scenario=STILL, event=event, paper="card", driver=HoldingDriver) as pilot:
        monkeypatch.setattr(type(pilot.parts.picture_jobs), "look", lambda *_: pytest.fail("somebody was looked at"))
        pilot.advance(0.5)
        pilot.tap("start")
        hold_up(pilot, code("E2"), Held(0.5, roll_deg=8, lean=0.1))
        pilot.until("privacy", limit_s=3.0)
        assert pilot.view.event.guest.name == "Adele Öz"
        pilot.advance(0.5)
        assert pilot.parts.worker.seen() is None
        assert not list((tmp_path / "session").glob("*.jp*g"))


def test_a_code_of_nobody_is_told_of_once_and_the_session_is_not_kept_awake_by_it(tmp_path, roster, event):
    with booth(tmp_path, scenario=STILL, event=event, paper="card", driver=HoldingDriver) as pilot:
        asked = []
        look_up = pilot.parts.badges.desk.look_up
        pilot.parts.badges.desk.look_up = lambda text: (asked.append(text), look_up(text))
        pilot.advance(0.5)
        pilot.tap("start")
        hold_up(pilot, qr("E9"))
        pilot.advance(0.7)
        active_s = pilot.loop.session.active_s
        pilot.advance(2.3)
        assert pilot.loop.session.active_s == active_s
        assert (pilot.view.state, pilot.view.event.search.unknown_code, asked) == ("find", True, ["E9"])
        pilot.tap("type", "a")
        assert not pilot.view.event.search.unknown_code
        hold_up(pilot, qr("x" * 65))
        pilot.advance(0.5)
        assert (pilot.view.event.search.unknown_code, asked) == (True, ["E9"])


def test_a_code_still_in_view_does_not_bring_a_guest_back_who_went_back(tmp_path, roster, event):
    with booth(tmp_path, scenario=STILL, event=event, paper="card", driver=HoldingDriver) as pilot:
        pilot.advance(0.5)
        pilot.tap("start")
        hold_up(pilot, qr("E1"))
        pilot.until("privacy", limit_s=3.0)
        pilot.loop._step(Intent("back"))  # the screen offers a badge without a photo in its place
        pilot.advance(3.0)
        assert pilot.view.state == "find"
        hold_up(pilot, None)
        pilot.advance(3.0)
        hold_up(pilot, qr("E1"))
        pilot.until("privacy", limit_s=3.0)


def test_the_code_of_somebody_who_has_a_badge_shows_who_it_is_and_prints_nothing(tmp_path, roster, event):
    roster.end(roster.begin("E1", with_photo=False), "printed")
    with booth(tmp_path, scenario=STILL, event=event, paper="card", driver=HoldingDriver) as pilot:
        pilot.advance(0.5)
        pilot.tap("start")
        hold_up(pilot, qr("E1"))
        pilot.advance(2.0)
        assert pilot.view.state == "find"
        assert [(guest.name, guest.has_badge) for guest in pilot.view.event.search.guests] == [("Ada Lind", True)]
    assert len(badges_of(roster, "E1")) == 1
