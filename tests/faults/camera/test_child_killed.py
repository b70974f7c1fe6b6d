"""The camera's process is killed in the middle of a capture."""

import os
import signal

import pytest

pytestmark = pytest.mark.slow


def test_the_shot_is_taken_again_by_another_process(open_booth):
    booth = open_booth()
    booth.responder.fault("no_object")
    booth.to_state("shooting")
    booth.advance(0.3)
    assert booth.camera.state == "busy"
    pid = booth.camera.pid
    os.kill(pid, signal.SIGKILL)
    booth.until("align")
    booth.until_true(booth.sees_sitter)
    booth.until("review")
    assert booth.view.verdict == "pass"
    assert "out_of_order" not in booth.states
    assert booth.camera.pid != pid
    assert booth.warnings == ["camera: The camera does not answer: its process ended without a word."]
