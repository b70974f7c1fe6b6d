"""The battery runs low: the sitter is not disturbed, the attendant is told once."""

import pytest

pytestmark = pytest.mark.slow
TOLD = "camera: The camera's battery is at 20 %; a mains adapter keeps it from stopping."


def test_the_attendant_is_told_before_the_camera_stops(booth):
    booth.until_true(booth.sees_sitter)
    assert booth.warnings == []
    booth.responder.tell("battery 20")
    booth.to_state("review")
    booth.tap("retake")
    booth.until("review")
    assert booth.warnings == [TOLD]
    assert booth.view.review.verdict == "pass"
    assert "out_of_order" not in booth.states


def test_a_battery_that_dies_is_an_unplugged_camera(open_booth):
    booth = open_booth(grace_s=0.5)
    booth.responder.tell("battery 3")
    booth.to_state("align")
    booth.responder.tell("off")
    booth.until("out_of_order")
    assert booth.warnings[0] == TOLD.replace("20 %", "3 %")
    assert booth.warnings[1].startswith("camera: The camera has a fault: ")
    assert booth.parts.files.names() == []
    assert booth.view.fault[1] == "Check its cable, battery and switch; the booth connects again by itself."
