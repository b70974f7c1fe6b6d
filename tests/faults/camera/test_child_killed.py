"""The camera's process is killed in the middle of a capture, alone or with the spare that would take its place."""

import os
import signal

import pytest

pytestmark = pytest.mark.slow


@pytest.mark.parametrize("with_spare", [False, True])
def test_the_shot_is_taken_again_by_another_process(open_booth, with_spare):
    booth = open_booth()
    booth.until_true(lambda: booth.camera.spare_pid)
    booth.responder.fault("no_object")
    booth.to_state("shooting")
    booth.advance(0.3)
    assert booth.camera.state == "busy"
    pid, spare = booth.camera.pid, booth.camera.spare_pid
    os.kill(pid, signal.SIGKILL)
    if with_spare:
        os.kill(spare, signal.SIGKILL)
    booth.until("align")
    booth.until_true(booth.sees_sitter)
    booth.until("review")
    assert booth.view.review.verdict == "pass"
    assert "out_of_order" not in booth.states
    assert booth.camera.pid not in ({pid, spare} if with_spare else {pid})
    assert with_spare or booth.camera.pid == spare
    assert booth.warnings == ["camera: The camera has a fault: its process ended without a word."]
