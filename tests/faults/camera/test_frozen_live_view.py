"""The live view stops without an error: its age gives it away."""

import pytest

from tests.faults.camera.conftest import RECOVERY_S

pytestmark = pytest.mark.slow


def test_the_camera_is_started_anew_and_the_session_goes_on(booth):
    booth.to_state("align")
    pid = booth.camera.pid
    booth.responder.fault("stall_preview")
    booth.until_true(lambda: booth.warnings)
    assert booth.warnings == ["camera: The camera did not finish the next live frame within 2 s."]
    assert booth.until_true(booth.sees_sitter) < RECOVERY_S
    assert booth.camera.pid != pid
    booth.until("review")
    assert "out_of_order" not in booth.states
