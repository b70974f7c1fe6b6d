"""The library aborts the process it lives in, as libgphoto2 does when a handle is used after its `exit`."""

import pytest

from kiosk.devices.gphoto2.camera import TetheredDriver
from tests.faults.camera.conftest import RECOVERY_S

pytestmark = pytest.mark.slow


class UsesItsHandleAfterExit(TetheredDriver):
    """What this project's own driver never does."""

    def ask(self, wish, argument):
        camera, context = self._connection._camera, self._connection._context
        camera.exit(context)
        for _ in range(100):
            camera.capture_preview(None, context)
            camera.exit(context)


def test_the_booth_outlives_it(open_booth):
    booth = open_booth(driver=UsesItsHandleAfterExit)
    booth.to_state("align")
    pid = booth.camera.pid
    booth.camera.ask("use after exit", "")
    booth.until_true(lambda: not booth.sees_sitter())
    assert booth.until_true(booth.sees_sitter) < RECOVERY_S
    assert booth.camera.pid != pid
    assert len(booth.warnings) == 1
    booth.until("review")
    assert "out_of_order" not in booth.states
