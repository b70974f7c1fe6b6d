"""The library aborts the process it lives in, as libgphoto2 does when it finds its heap corrupted.

A handle used after its `exit` does that on the library's virtual camera, but not every time on others; so abort(3) is
called here, from the same process.
"""

import os

import pytest

from kiosk.devices.gphoto2.camera import TetheredDriver

pytestmark = pytest.mark.slow


class Aborts(TetheredDriver):
    """A library that aborts when asked."""

    def ask(self, wish, argument):
        os.abort()


def test_the_booth_outlives_it(open_booth):
    booth = open_booth(driver=Aborts)
    booth.to_state("align")
    pid = booth.camera.pid
    booth.camera.ask("abort", "")
    booth.until_true(lambda: booth.warnings)
    booth.until_true(booth.sees_sitter)
    assert booth.camera.pid != pid
    assert booth.warnings[0] == "camera: The camera has a fault: its process ended without a word."
    booth.until("review")
    assert booth.view.review.verdict == "pass"
    assert "out_of_order" not in booth.states
