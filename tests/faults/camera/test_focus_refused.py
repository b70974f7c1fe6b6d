"""The body cannot focus (PTP response 0xA002): the sitter is led again, and the next shot comes."""

import pytest

from kiosk.booth.health import camera

pytestmark = pytest.mark.slow


def test_the_shot_is_taken_again_and_passes(booth):
    booth.responder.fault("focus")
    booth.to_state("review")
    assert booth.from_align == ["align", "shooting", "align", "shooting", "measuring", "review"]
    assert booth.view.review.verdict == "pass"
    assert booth.warnings == ["camera: The camera has a fault: it could not focus on the sitter."]


def test_a_camera_that_never_focuses_does_not_hold_the_sitter_for_ever(booth, monkeypatch):
    monkeypatch.setattr(camera, "REFUSED_REST_S", 1.0)
    booth.responder.fault("focus", 1000)
    booth.to_state("align")
    booth.until("out_of_order")
    assert booth.states.count("shooting") == camera.REFUSED_SHOTS
    assert booth.view.fault[0] == "The camera has a fault: it could not focus on the sitter."
    assert booth.view.fault[1].startswith("Give it more light")
    assert booth.parts.files.names() == []
    booth.responder.fault("focus", 0)
    booth.until("welcome")
    booth.to_state("review")
