"""The capture succeeds and no picture comes of it: libgphoto2 waits 20 s, the limit outside the call does not."""

import pytest

from kiosk.devices.camera_process import Limits

pytestmark = pytest.mark.slow


def test_the_wait_is_ended_from_outside_and_the_shot_taken_again(open_booth):
    booth = open_booth(limits=Limits(shot_s=2.0))
    booth.responder.fault("no_object")
    booth.to_state("review")
    assert booth.states.count("shooting") == 2
    assert booth.view.verdict == "pass"
    assert booth.warnings == ["camera: The camera did not finish the shot within 2 s."]
