"""A sitter who leaves, a camera that goes, a printer that fails: each ends where it should, and nothing is kept."""

import shutil

import pytest

from kiosk.core.session.booth_config import UNPRINTED_S
from kiosk.core.view.intent import Intent
from kiosk.devices.sim.scenario import Pose, Scenario
from kiosk.errors import PrinterFault
from kiosk.pipeline import picture_jobs
from kiosk.screens.toolkit.scene import PanelPlace
from tests.support.pilot import booth

STILL = Scenario(seed=3, arrives_s=0.0, begins=Pose())


def test_the_camera_is_not_looked_through_before_consent(tmp_path, monkeypatch):
    decoded = []
    decode = picture_jobs.decode_still
    monkeypatch.setattr(picture_jobs, "decode_still", lambda jpeg: decoded.append(len(jpeg)) or decode(jpeg))
    with booth(tmp_path, "gb-passport-print", scenario=STILL) as pilot:
        pilot.advance(1.0)
        pilot.tap("start")
        pilot.tap("choose", "gb-passport-print")
        pilot.advance(2.0)
        assert pilot.view.state == "prepare"
        pilot.be_ready()
        pilot.advance(2.0)
        assert pilot.view.state == "privacy"
        assert pilot.parts.camera.newest() is not None
        assert pilot.parts.worker.seen() is None
        assert decoded == []
        pilot.tap("agree")
        assert decoded != []
        pilot.tap("start_again")
        decoded.clear()
        pilot.advance(1.0)
        assert decoded == []


def test_start_again_wipes(tmp_path):
    with booth(tmp_path, "gb-passport-print", scenario=STILL) as pilot:
        pilot.to_align("gb-passport-print")
        pilot.until("review")
        assert pilot.parts.files.names() == ["still-1.jpg"]
        pilot.tap("start_again")
        assert pilot.view.state == "welcome"
        assert pilot.parts.files.names() == []


def test_a_sitter_who_never_comes_is_given_up(tmp_path):
    with booth(tmp_path, "gb-passport-print", scenario=Scenario(arrives_s=1e6), tick_s=0.5) as pilot:
        pilot.to_align("gb-passport-print")
        pilot.until("welcome", limit_s=200.0)
        assert pilot.view.align.instruction == ""


@pytest.mark.parametrize("fault", ["shoot", "truncate"])
def test_a_lost_or_damaged_shot_is_taken_again(tmp_path, fault):
    with booth(tmp_path, "gb-passport-print", scenario=STILL) as pilot:
        pilot.to_align("gb-passport-print")
        pilot.parts.camera.fail_next(fault)
        pilot.until("review")
        assert pilot.states.count("shooting") == 2
        assert pilot.view.review.verdict == "pass"


def test_a_short_unplugging_is_ridden_out(tmp_path):
    with booth(tmp_path, "gb-passport-print", scenario=STILL) as pilot:
        pilot.to_align("gb-passport-print")
        pilot.parts.camera.fail_next("unplug")
        pilot.until("review")
        assert "out_of_order" not in pilot.states


class JammedPrinter:
    """A printer whose paper has jammed until somebody takes it out; it obeys the contract of a printer."""

    name = "jammed"
    notice = ""

    def __init__(self, jammed=False):
        self.jammed = jammed

    def check(self):
        if self.jammed:
            raise PrinterFault(printer=self.name, detail="the paper has jammed")

    def print_sheet(self, job):
        self.check()
        return "the tray"

    def how_it_ended(self, key):
        return "unknown"


def print_on(pilot):
    pilot.to_align("gb-passport-print")
    pilot.until("review")
    pilot.tap("accept")


def test_a_printer_that_fails_puts_the_booth_out_of_order_until_it_is_mended(tmp_path):
    printer = JammedPrinter()
    with booth(tmp_path, "gb-passport-print", scenario=STILL, printer=printer) as pilot:
        pilot.to_align("gb-passport-print")
        printer.jammed = True
        pilot.until("review")
        pilot.tap("accept")
        pilot.until("unprinted")
        pilot.let_the_print_queue_look()
        delete = [target.act for target in pilot.parts.screen.stage.targets if isinstance(target.act, PanelPlace)]
        pilot.touch(next(act for act in delete if act.panel == "delete"), 0.5)
        pilot.tap("start_again")
        assert pilot.view.state == "out_of_order"
        assert pilot.view.fault[0] == "The printer jammed stopped: the paper has jammed."
        assert pilot.parts.files.names() == []
        printer.jammed = False
        pilot.wait_for(lambda: pilot.view.state == "welcome")
        print_on(pilot)
        pilot.until("collect")


def test_a_sheet_held_by_a_printer_is_printed_for_its_sitter_once_it_is_mended(tmp_path):
    printer = JammedPrinter()
    with booth(tmp_path, "gb-passport-print", scenario=STILL, printer=printer, hold_s=60.0) as pilot:
        pilot.to_align("gb-passport-print")
        printer.jammed = True
        pilot.until("review")
        pilot.tap("accept")
        pilot.until("printing")
        pilot.wait_for(lambda: pilot.view.sheet.print_state == "held")
        assert pilot.view.state == "printing"
        printer.jammed = False
        pilot.until("collect")


def test_a_printer_that_could_not_print_keeps_the_booth_closed_from_the_start(tmp_path):
    printer = JammedPrinter(jammed=True)
    with booth(tmp_path, "gb-passport-print", scenario=STILL, printer=printer) as pilot:
        pilot.wait_for(lambda: pilot.view.state == "out_of_order")
        assert pilot.view.fault == (
            "The printer jammed stopped: the paper has jammed.",
            "Ask the attendant to look at the printer.",
        )
        printer.jammed = False
        pilot.wait_for(lambda: pilot.view.state == "welcome")


def test_a_mended_printer_does_not_open_a_booth_without_a_camera(tmp_path):
    printer = JammedPrinter()
    with booth(tmp_path, "gb-passport-print", scenario=STILL, printer=printer) as pilot:
        pilot.wait_for(lambda: pilot.parts.prints.looks)
        printer.jammed = True
        print_on(pilot)
        pilot.until("unprinted")
        pilot.loop._out_of_order.add("camera")
        printer.jammed = False
        pilot.let_the_print_queue_look()
        assert pilot.view.sheet.print_state == "failed"
        pilot.parts.clock.sleep(UNPRINTED_S)
        pilot.advance(0.5)
        assert pilot.view.state == "out_of_order"


def test_a_sitter_who_never_gets_it_right_is_sent_to_a_person(tmp_path):
    spoilt = STILL.model_copy(update={"spoil_shots": ("eyes_closed", "smile")})
    with booth(tmp_path, "gb-passport-print", scenario=spoilt, shots=2) as pilot:
        pilot.to_align("gb-passport-print")
        pilot.until("review")
        assert pilot.view.review.verdict == "fail"
        assert Intent("accept") not in [target.act for target in pilot.parts.screen.stage.targets]


def test_the_language_can_be_changed_before_the_camera(tmp_path):
    with booth(tmp_path, "gb-passport-print", scenario=STILL) as pilot:
        pilot.advance(0.5)
        pilot.tap("language", "ar")
        assert pilot.view.language == "ar"
        pilot.tap("start")
        assert pilot.parts.screen.stage.words.is_right_to_left


def test_a_folder_that_takes_no_still_shuts_the_booth_until_it_does(tmp_path):
    with booth(tmp_path, "gb-passport-print", scenario=STILL) as pilot:
        pilot.to_align("gb-passport-print")
        folder = pilot.parts.files.folder
        shutil.rmtree(folder)
        pilot.until("out_of_order")
        assert str(folder) in pilot.view.fault[0]
        folder.mkdir()
        pilot.until("welcome")
        pilot.to_align("gb-passport-print")
        pilot.until("review")
