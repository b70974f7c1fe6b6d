"""How long a child may be silent, by the clock that was given, before it is ended from outside."""

from __future__ import annotations

import os
import signal
import time

import pytest

from kiosk.devices.base import DeviceFailed, DeviceReady
from kiosk.devices.camera import children
from kiosk.devices.camera.supervisor import SupervisedCamera
from kiosk.devices.camera.timeouts import Pace, Timeouts
from kiosk.devices.sim.camera import SimulatedCamera, SimulatedDriver
from kiosk.devices.sim.scenario import Scenario
from kiosk.errors import DeviceTimeout
from tests.devices.camera_process.patience import SITTER, until, wait_for


def test_silence_is_judged_by_the_clock_that_was_given(camera, clock):
    os.kill(camera.pid, signal.SIGSTOP)
    time.sleep(0.1)
    camera.poll()
    clock.sleep(2.0)
    assert camera.poll() == []
    clock.sleep(0.1)
    events = camera.poll()
    assert [str(event.error) for event in events] == ["The camera did not finish the next live frame within 2 s."]
    until(camera, DeviceReady)


def test_a_late_poll_does_not_blame_a_camera_that_has_gone_on(camera, clock):
    for _ in range(3):
        seen = camera.newest().sequence
        wait_for(lambda seen=seen: camera.newest().sequence > seen)
        clock.sleep(100.0)
        assert camera.poll() == []
    assert camera.state == "ready"


@pytest.mark.parametrize(("interval_s", "patience_s"), [(1 / 30, 1.5), (0.1, 1.5), (0.2, 3.0), (0.5, 4.0)])
def test_a_slow_camera_may_be_silent_for_longer(interval_s, patience_s):
    pace, limits = Pace(), Timeouts(frame_age_s=1.5, resume_s=4.0)
    pace.begin(100.0, 7)
    assert pace.patience_s(limits) == 4.0
    for count in range(1, 100):
        pace.came(100.0 + count * interval_s, 7 + count)
    assert pace.patience_s(limits) == pytest.approx(patience_s)
    pace.begin(200.0, 107)
    assert pace.patience_s(limits) == 4.0


class HangsOnce(SimulatedDriver):
    """A camera whose first process stops while it opens it."""

    def __init__(self, folder):
        super().__init__(SITTER, Scenario())
        self.hung = folder / "hung"

    def open(self):
        if not self.hung.exists():
            self.hung.touch()
            os.kill(os.getpid(), signal.SIGSTOP)
        return super().open()


def test_a_start_that_hangs_is_ended(tmp_path, clock):
    driver = HangsOnce(tmp_path)
    camera = SimulatedCamera(driver, Timeouts(), clock)
    camera.start()
    wait_for(driver.hung.exists)
    clock.sleep(15.1)
    error = until(camera, DeviceFailed).error
    assert isinstance(error, DeviceTimeout)
    assert error.params == {"device": "The camera", "operation": "starting", "limit_s": 15.0}
    until(camera, DeviceReady)
    camera.close()


def test_a_child_that_needs_longer_to_start_is_given_longer_each_time(tmp_path, clock, monkeypatch):
    monkeypatch.setattr(children, "ChildProcess", NeverReady)
    camera = SupervisedCamera(SimulatedDriver(tmp_path, Scenario()), Timeouts(start_s=10.0), clock)
    camera.start()
    allowed = []
    for _ in range(3):
        before = clock.now_s()
        while not any(isinstance(event, DeviceFailed) for event in camera.poll()) and camera.pid:
            clock.sleep(0.5)
        allowed.append(clock.now_s() - before)
        while camera.pid is None:
            camera.poll()
            clock.sleep(0.5)
    assert [round(limit_s / 10) for limit_s in allowed] == [1, 2, 3]
    camera.close()


class NeverReady:
    """A child that is silent, as far as the watchdog looks at one."""

    pid = 1
    is_gone = True

    def __init__(self, driver, live, stills):
        pass

    def messages(self):
        return ()

    def send(self, what):
        pass

    def wait(self, limit_s):
        pass

    def kill(self):
        pass
