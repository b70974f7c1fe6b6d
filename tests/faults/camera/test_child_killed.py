"""The camera's process is killed in the middle of a capture."""

import os
import signal

import pytest

from kiosk.devices.camera_process import Limits
from tests.faults.camera.conftest import RECOVERY_S

pytestmark = pytest.mark.slow


def test_the_shot_is_taken_again_by_another_process(open_booth):
    booth = open_booth(limits=Limits(shot_s=60.0))
    booth.responder.fault("no_object")
    booth.to_state("shooting")
    booth.advance(0.3)
    assert booth.camera.state == "busy"
    pid = booth.camera.pid
    os.kill(pid, signal.SIGKILL)
    booth.until("align")
    assert booth.until_true(booth.sees_sitter) < RECOVERY_S
    booth.until("review")
    assert booth.view.verdict == "pass"
    assert booth.camera.pid != pid
    assert booth.warnings == ["camera: The camera does not answer: its process ended without a word."]
