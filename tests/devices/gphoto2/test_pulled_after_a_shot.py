"""The cable is pulled right after a still has been handed over, before the camera's file is deleted: it goes later."""

import pytest

from kiosk.core.base.ticket import Ticket
from kiosk.devices.base import StillTaken
from kiosk.devices.camera.supervisor import SupervisedCamera
from kiosk.devices.gphoto2.camera import TetheredDriver
from tests.support.stepped_body import BODIES, MadeUpBody
from tests.support.stepped_camera import stepped_cameras
from tests.support.stepped_clock import SteppedClock

PORT, PATIENCE_S = "pulled", 60.0


def wait_for(camera, clock, condition):
    """Let time pass until an event, or None, is what is waited for."""
    end_s = clock.now_s() + PATIENCE_S
    while not any(condition(event) for event in [*camera.poll(), None]):
        assert clock.now_s() < end_s, "waited in vain"
        clock.sleep(0.05)


def wait_until(camera, clock, end_s):
    """Let time pass."""
    while clock.now_s() < end_s:
        camera.poll()
        clock.sleep(0.05)


@pytest.mark.parametrize("later_s", [None, 0.0, 90.0], ids=["once", "and again at once", "and again later"])
@pytest.mark.parametrize("forgets_events", [False, True])
def test_the_sitters_still_does_not_stay_on_the_camera(forgets_events, later_s):
    clock = SteppedClock(1000.0)
    body = BODIES[PORT] = MadeUpBody(clock, forgets_events=forgets_events, sitter=7)
    with stepped_cameras(clock):
        camera = SupervisedCamera(TetheredDriver(PORT), clock=clock)
        camera.start()
        wait_for(camera, clock, lambda _: camera.state == "ready")
        camera.shoot(Ticket(1))
        wait_for(camera, clock, lambda event: isinstance(event, StillTaken))
        body.pull()
        assert len(body.files) == 1
        wait_for(camera, clock, lambda _: camera.state == "fault")
        body.plug()
        wait_for(camera, clock, lambda _: camera.state == "ready")
        if later_s is not None:
            wait_until(camera, clock, clock.now_s() + later_s)
            body.pull()
            wait_for(camera, clock, lambda _: camera.state == "fault")
            body.plug()
            wait_for(camera, clock, lambda _: camera.state == "ready")
        body.sitter = 8
        camera.shoot(Ticket(2))
        wait_for(camera, clock, lambda event: isinstance(event, StillTaken))
        wait_until(camera, clock, clock.now_s() + 5.0)
        camera.close()
    assert {each.sitter for each in body.exposures.known.values()} == {7, 8}
    assert not body.files, "a still is left on the camera"
