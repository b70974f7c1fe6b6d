"""The body is busy throughout a command: libgphoto2 gives up after some 0.2 s, and the command is given again."""

import pytest

pytestmark = pytest.mark.slow


def test_a_capture_that_finds_the_camera_busy_is_taken_again(booth):
    booth.responder.fault("busy_capture", 1_000_000)
    booth.to_state("align")
    booth.until_true(lambda: booth.warnings)
    assert "out_of_order" not in booth.states
    booth.responder.fault("busy_capture", 0)
    booth.until("review")
    assert booth.view.review.verdict == "pass"
    assert booth.states.count("shooting") > 1
    assert booth.warnings[0] == "camera: The camera has a fault: it is busy."


def test_a_moment_of_it_is_absorbed(booth):
    booth.responder.fault("busy_capture", 3)
    booth.to_state("review")
    assert booth.states.count("shooting") == 1
    assert booth.view.review.verdict == "pass"
    assert booth.warnings == []
