"""A command is never answered: libgphoto2 gives up after 2.5 s and leaves a stale reply in the pipe."""

import pytest

pytestmark = pytest.mark.slow


def test_a_stalled_capture_costs_the_connection_but_not_the_session(booth):
    booth.until_true(booth.sees_sitter)
    pid = booth.camera.pid
    booth.responder.fault("stall_capture")
    booth.to_state("align")
    booth.until("review")
    assert "out_of_order" not in booth.states
    assert booth.states.count("shooting") == 2
    assert booth.view.review.verdict == "pass"
    assert booth.camera.pid != pid
    assert booth.warnings[0] == (
        "camera: The camera has a fault: it stopped answering; its cable or battery may be loose."
    )
