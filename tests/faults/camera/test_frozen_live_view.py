"""The live view stops without an error: its age gives it away."""

import time
from dataclasses import replace
from pathlib import Path

import pytest

from kiosk.devices.gphoto2.camera import TetheredDriver
from kiosk.i18n import Words
from kiosk.screens.sitter.align import instruction_text
from tests.faults.camera.conftest import GENEROUS

pytestmark = pytest.mark.slow
TOO_OLD = "camera: The camera did not finish the next live frame within 2 s."
GIVEN_UP = "camera: The camera has a fault: it stopped answering; its cable or battery may be loose."


class HangsInACall(TetheredDriver):
    """A library whose call for a live frame never returns, once a file is there; the next process finds it gone."""

    hang: Path

    def next_frame(self):
        if self.hang.exists():
            self.hang.unlink()
            time.sleep(600.0)
        return super().next_frame()


def test_a_call_that_never_returns_is_ended_from_outside_and_the_session_goes_on(open_booth, tmp_path):
    hang = tmp_path / "hang"
    booth = open_booth(driver=HangsInACall, hang=hang, limits=replace(GENEROUS, frame_age_s=2.0, resume_s=2.0))
    booth.to_state("align")
    pid = booth.camera.pid
    hang.touch()
    booth.until_true(lambda: booth.view.align.is_waiting)
    assert instruction_text(Words.load("en"), booth.view) == "One moment, please"
    booth.until_true(lambda: booth.warnings)
    booth.until_true(booth.sees_sitter)
    assert booth.warnings[0] == TOO_OLD
    assert booth.camera.pid != pid
    booth.until("review")
    assert booth.view.review.verdict == "pass"
    assert "out_of_order" not in booth.states


def test_a_body_that_falls_silent_is_told_by_its_frame_or_by_the_library_whichever_comes_first(open_booth):
    """libgphoto2 gives up after 2.5 s, the booth after 2 s."""
    booth = open_booth(limits=replace(GENEROUS, frame_age_s=2.0, resume_s=2.0))
    booth.to_state("align")
    pid = booth.camera.pid
    booth.responder.fault("stall_preview")
    booth.until_true(lambda: booth.warnings)
    booth.until_true(booth.sees_sitter)
    assert booth.warnings[0] in {TOO_OLD, GIVEN_UP}
    assert booth.camera.pid != pid
    booth.until("review")
    assert booth.view.review.verdict == "pass"
    assert "out_of_order" not in booth.states
