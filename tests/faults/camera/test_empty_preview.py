"""A body that is busy throughout a live frame gives an empty one, which libgphoto2 reports as success."""

from dataclasses import replace

import pytest

from tests.faults.camera.conftest import GENEROUS

pytestmark = pytest.mark.slow


def test_a_few_empty_frames_are_passed_over(booth):
    booth.to_state("align")
    booth.responder.fault("busy_preview", 20)
    booth.until("review")
    assert booth.from_align == ["align", "shooting", "measuring", "review"]
    assert booth.view.review.verdict == "pass"
    assert booth.warnings == []


def test_nothing_but_empty_frames_is_a_live_view_that_stands_still(open_booth):
    booth = open_booth(limits=replace(GENEROUS, frame_age_s=2.0, resume_s=2.0))
    booth.to_state("align")
    booth.responder.fault("busy_preview", 1_000_000)
    booth.until_true(lambda: booth.warnings)
    assert booth.warnings[0] == "camera: The camera did not finish the next live frame within 2 s."
    booth.responder.fault("busy_preview", 0)
    booth.until_true(booth.sees_sitter)
    booth.until("review")
    assert booth.view.review.verdict == "pass"
    assert "out_of_order" not in booth.states
