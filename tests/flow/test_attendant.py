"""The attendant at the booth, through whole sessions on the real parts."""

import json
from dataclasses import replace

import pytest
from sqlalchemy import create_engine, text

from kiosk.core.attendant.pin_lock import FIRST_WAIT_S, FREE_TRIES
from kiosk.core.view.attendant import DeskIntent
from kiosk.core.view.intent import Intent
from kiosk.devices.sim.scenario import Pose, Scenario
from kiosk.errors import RulesRefused
from kiosk.system.pin_hash import hash_pin
from tests.support.pilot import Pilot, booth

PIN, WRONG = "480217", "480218"
HASH = hash_pin(PIN)
STILL = Scenario(seed=3, arrives_s=0.0, begins=Pose())
NEVER_RIGHT = STILL.model_copy(update={"spoil_shots": ("eyes_closed", "smile")})


def kept(pilot: Pilot, what: str) -> list[str]:
    """Return what is in the ledger, read by SQL."""
    assert pilot.parts.ledger.flush(limit_s=60.0)
    engine = create_engine(f"sqlite:///{pilot.folder / 'state' / 'ledger.sqlite3'}")
    with engine.connect() as connection:
        found = [row[0] for row in connection.execute(text(what))]
    engine.dispose()
    return found


def acts(pilot: Pilot) -> list[str]:
    return kept(pilot, "select act from attended order by id")


def orders(pilot: Pilot) -> set[str]:
    return {target.act.name for target in pilot.parts.screen.stage.targets if isinstance(target.act, DeskIntent)}


def test_a_photo_that_never_passes_is_shown_to_the_attendant_who_passes_it(tmp_path):
    with booth(tmp_path, "gb-passport-print", scenario=NEVER_RIGHT, shots=2, pin_hash=HASH) as pilot:
        pilot.to_align("gb-passport-print")
        pilot.until("review")
        assert (pilot.view.review.verdict, pilot.view.attended) == ("fail", True)
        pilot.tap("call")
        assert pilot.view.called
        pilot.sign_in(PIN)
        assert pilot.view.desk.page == "state"
        told = {line.name: line.words for line in pilot.view.desk.lines}
        assert "Call" in told
        assert "fail" in told["Sitter"]
        pilot.order("show", "override")
        pilot.order("override", "medical")
        assert not pilot.view.called
        pilot.order("leave")
        assert pilot.view.desk is None
        assert (pilot.view.review.verdict, pilot.view.review.passed_by_attendant) == ("fail", True)
        pilot.tap("accept")
        pilot.until("collect")
        assert kept(pilot, "select reason from override") == ["medical"]
        assert kept(pilot, "select verdict from shot order by id") == ["fail", "fail"], "the judgement stays as it was"
        assert acts(pilot) == ["signed_in"]
        sheets = list((tmp_path / "prints").glob("*.pdf"))
        assert len(sheets) == 1


def test_wrong_pins_lock_the_desk_and_the_lock_outlasts_a_restart(tmp_path):
    with booth(tmp_path, "gb-passport-print", pin_hash=HASH) as pilot:
        pilot.advance(0.5)
        for _ in range(FREE_TRIES):
            assert pilot.view.desk is None
            pilot.sign_in(WRONG)
            assert pilot.view.desk.page == "pin"
            locked = pilot.view.desk.wait_s
            pilot.order("leave")
        assert locked == FIRST_WAIT_S
        assert acts(pilot) == ["pin_wrong"] * FREE_TRIES
        pilot.hold(100, 10, 3.2)
        assert orders(pilot) == {"leave"}, "no digit can be typed"
    with booth(tmp_path, "gb-passport-print", pin_hash=HASH) as pilot:
        pilot.advance(0.5)
        pilot.hold(100, 10, 3.2)
        assert 0 < pilot.view.desk.wait_s <= FIRST_WAIT_S
        pilot.order("leave")
        pilot.advance(FIRST_WAIT_S)
        pilot.sign_in(PIN)
        assert pilot.view.desk.page == "state"


def test_the_desk_closes_by_itself_and_a_short_touch_does_not_open_it(tmp_path):
    with booth(tmp_path, "gb-passport-print", pin_hash=HASH) as pilot:
        pilot.advance(0.5)
        pilot.hold(100, 10, 2.0)
        assert pilot.view.desk is None
        pilot.hold(100, 500, 4.0)
        assert pilot.view.desk is None, "only on the upper edge"
        pilot.sign_in(PIN)
        pilot.advance(61.0)
        assert pilot.view.desk is None


def test_a_sheet_waits_for_the_attendant_and_the_paper_is_counted(tmp_path):
    with booth(tmp_path, "gb-passport-print", scenario=STILL, pin_hash=HASH, release="attendant") as pilot:
        pilot.advance(0.5)
        pilot.sign_in(PIN)
        pilot.order("show", "paper")
        pilot.order("digit", "1")
        pilot.order("enter")
        pilot.order("leave")
        pilot.to_align("gb-passport-print")
        pilot.until("review")
        pilot.tap("accept")
        assert pilot.view.state == "release"
        pilot.advance(60.0)
        assert list((tmp_path / "prints").glob("*")) == []
        pilot.sign_in(PIN)
        pilot.order("release")
        pilot.until("collect")
        assert len(list((tmp_path / "prints").glob("*.pdf"))) == 1
        assert "prints_released" in acts(pilot)
        pilot.order("leave")
        pilot.tap("done")
        pilot.until("out_of_order")
        assert "no paper" in pilot.view.fault[0]
    remembered = json.loads((tmp_path / "state" / "desk.json").read_text())
    assert remembered == {"wrong": 0, "sheets": 0, "is_shut": False, "wrong_on_page": 0, "on_their_way": []}


def test_out_of_order_wipes_the_sitter_outlasts_a_restart_and_ends_when_opened(tmp_path):
    with booth(tmp_path, "gb-passport-print", scenario=STILL, pin_hash=HASH) as pilot:
        pilot.to_align("gb-passport-print")
        pilot.until("review")
        pilot.sign_in(PIN)
        pilot.order("show", "sure_shut")
        pilot.order("shut")
        assert (pilot.view.state, pilot.parts.files.names()) == ("out_of_order", [])
    with booth(tmp_path, "gb-passport-print", scenario=STILL, pin_hash=HASH) as pilot:
        pilot.advance(1.0)
        assert pilot.view.state == "out_of_order"
        pilot.sign_in(PIN)
        pilot.order("open_again")
        assert pilot.view.state == "welcome"
        pilot.order("leave")
        pilot.tap("start")
        assert pilot.view.state == "choose"


def test_a_test_shot_is_shown_and_never_kept_and_the_program_ends(tmp_path):
    with booth(tmp_path, "gb-passport-print", scenario=STILL, pin_hash=HASH) as pilot:
        pilot.advance(0.5)
        pilot.sign_in(PIN)
        pilot.order("show", "shot")
        pilot.order("test_shot")
        for _ in range(20):
            pilot.advance(0.5)
            pilot.wait_for_desk()
            if pilot.view.desk.test_jpeg:
                break
        assert pilot.view.desk.test_jpeg.startswith(b"\xff\xd8")
        assert any("1600 x 2000 pixels" in told for told in pilot.view.desk.test_report)
        assert (pilot.view.state, pilot.parts.files.names()) == ("welcome", [])
        pilot.order("show", "state")
        pilot.order("leave")
        pilot.sign_in(PIN)
        pilot.order("show", "shot")
        assert pilot.view.desk.test_jpeg == b""
        pilot.order("show", "state")
        pilot.order("show", "sure_end")
        pilot.order("end")
        assert pilot.loop.has_ended


def test_the_attendant_helps_a_sitter_with_the_language_and_to_start_again(tmp_path):
    with booth(tmp_path, "gb-passport-print", scenario=STILL, pin_hash=HASH) as pilot:
        pilot.advance(0.5)
        pilot.tap("start")
        pilot.sign_in(PIN)
        pilot.order("show", "help")
        pilot.order("language", "ar")
        assert pilot.view.language == "ar"
        pilot.order("show", "ease")
        pilot.order("ease", "seat_stays")
        assert pilot.view.ease.seat_stays
        pilot.order("show", "state")
        pilot.order("show", "help")
        pilot.order("start_again")
        assert pilot.view.state == "welcome"
        assert acts(pilot) == ["signed_in"] + ["sitter_helped"] * 3


@pytest.mark.parametrize("hashed", ["", HASH], ids=["unattended", "attended"])
def test_who_calls_is_told_that_somebody_comes_where_somebody_can(tmp_path, hashed):
    with booth(tmp_path, "gb-passport-print", scenario=STILL, pin_hash=hashed) as pilot:
        pilot.advance(0.5)
        pilot.tap("start")
        stage = pilot.parts.screen.stage
        help_ = next(target for target in stage.targets if getattr(target.act, "panel", "") == "help")
        pilot.touch(help_.act, 0.5)
        offered = Intent("call") in [target.act for target in stage.targets]
        assert offered == bool(hashed)
        if hashed:
            pilot.tap("call")
            assert any("has been called" in block.text for _, block in stage.blocks)
            pilot.advance(200.0)
            assert pilot.view.state == "choose", "who waits for the attendant is not sent home"


def test_a_booth_that_cannot_be_looked_over_says_why_behind_a_right_pin(tmp_path):
    """The folder of the shop's own documents was unplugged, say, since the booth was opened."""
    with booth(tmp_path, "gb-passport-print", pin_hash=HASH) as pilot:

        def unplugged():
            raise RulesRefused(path="own", where="the folder", detail="it is gone")

        pilot.parts.desk._components = replace(pilot.parts.desk._components, survey=unplugged)
        pilot.advance(0.5)
        pilot.sign_in(PIN)
        pilot.wait_for_desk()
        told = {line.words for line in pilot.view.desk.lines}
        assert any("it is gone" in words for words in told), told
