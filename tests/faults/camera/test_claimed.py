"""Another program holds the camera, as a desktop's volume monitor does.

No USB can be claimed on a machine without one, so the library's own result, -53, is raised in its place.
"""

from pathlib import Path

import gphoto2
import pytest

from kiosk.devices.gphoto2.camera import TetheredDriver

pytestmark = pytest.mark.slow


class HeldByAnotherProgram(TetheredDriver):
    """A camera that cannot be opened while a file is there."""

    held: Path

    def open(self):
        if self.held.exists():

            class Held(gphoto2.Camera):
                def init(self, context):
                    raise gphoto2.GPhoto2Error(-53)

            gphoto2.Camera, free = Held, gphoto2.Camera
            try:
                return super().open()
            finally:
                gphoto2.Camera = free
        return super().open()


def test_the_attendant_is_told_who_holds_it_and_the_booth_goes_on_when_it_is_free(open_booth, tmp_path):
    held = tmp_path / "held"
    held.touch()
    booth = open_booth(driver=HeldByAnotherProgram, held=held, grace_s=0.5)
    booth.until_true(lambda: booth.warnings)
    booth.until("out_of_order")
    assert booth.view.fault[0] == (
        "The camera has a fault: another program holds it; a desktop's volume monitor does that."
    )
    assert booth.view.fault[1].startswith("Close the other program")
    assert booth.warnings == [f"camera: {booth.view.fault[0]}"]
    assert booth.parts.files.names() == []
    held.unlink()
    booth.until("welcome")
    booth.to_state("review")
    assert booth.view.review.verdict == "pass"


def test_the_screen_tells_the_present_reason_and_not_the_first(open_booth, tmp_path):
    held = tmp_path / "held"
    booth = open_booth(driver=HeldByAnotherProgram, held=held, off=True, grace_s=0.5)
    booth.until("out_of_order")
    booth.until_true(lambda: "the connection broke" in booth.view.fault[0])
    held.touch()
    booth.until_true(lambda: "another program holds it" in booth.view.fault[0])
    assert booth.warnings[-1] == f"camera: {booth.view.fault[0]}"
    held.unlink()
    booth.responder.tell("on")
    booth.until("welcome")
