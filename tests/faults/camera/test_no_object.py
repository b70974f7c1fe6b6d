"""The capture succeeds and no picture comes of it: libgphoto2 waits 20 s, the limit outside the call does not."""

from dataclasses import replace

import pytest

from tests.faults.camera.conftest import GENEROUS

pytestmark = pytest.mark.slow


def test_the_wait_is_ended_from_outside_and_the_shot_taken_again(open_booth):
    booth = open_booth(limits=replace(GENEROUS, shot_s=6.0))
    booth.responder.fault("no_object")
    booth.to_state("review")
    assert booth.from_align[:4] == ["align", "shooting", "align", "shooting"]
    assert booth.view.review.verdict == "pass"
    assert set(booth.warnings) == {"camera: The camera did not finish the shot within 6 s."}
