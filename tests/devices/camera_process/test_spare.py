"""The spare child: warm, away from the camera, and ready to take over."""

from __future__ import annotations

import os
import signal

from kiosk.devices.base import DeviceFailed, DeviceReady
from kiosk.devices.camera.supervisor import SupervisedCamera
from kiosk.devices.camera.timeouts import Timeouts
from kiosk.devices.sim.camera import SimulatedDriver
from kiosk.devices.sim.scenario import Scenario
from tests.devices.camera_process.patience import SITTER, is_gone, until, wait_for


def settled(camera, clock):
    """Let a camera be ready for so long that it has a spare; return the spare's process id."""
    clock.sleep(1.0)
    wait_for(lambda: camera.poll() or camera.spare_pid is not None)
    return camera.spare_pid


class TellsWhoOpens(SimulatedDriver):
    """A camera that leaves a file for each process that warms up or opens it."""

    def __init__(self, folder):
        super().__init__(SITTER, Scenario())
        self._told = folder

    def warm_up(self):
        super().warm_up()
        (self._told / f"warm {os.getpid()}").touch()

    def open(self):
        (self._told / f"open {os.getpid()}").touch()
        return super().open()


def test_a_spare_takes_over_and_is_replaced(camera, clock):
    assert camera.spare_pid is None
    spare = settled(camera, clock)
    pid = camera.pid
    os.kill(pid, signal.SIGKILL)
    until(camera, DeviceFailed)
    until(camera, DeviceReady)
    assert camera.pid == spare
    clock.sleep(10.0)
    seen = camera.newest().sequence
    wait_for(lambda: camera.newest().sequence > seen)
    another = settled(camera, clock)
    assert another not in {pid, spare}
    camera.close()
    assert is_gone(pid)
    assert is_gone(spare)
    assert is_gone(another)


def test_a_spare_does_not_touch_the_camera_before_it_takes_over(tmp_path, clock):
    camera = SupervisedCamera(TellsWhoOpens(tmp_path), Timeouts(), clock)
    camera.start()
    until(camera, DeviceReady)
    spare = settled(camera, clock)
    wait_for((tmp_path / f"warm {spare}").exists)
    assert [path.name for path in tmp_path.glob("open *")] == [f"open {camera.pid}"]
    os.kill(camera.pid, signal.SIGKILL)
    until(camera, DeviceFailed)
    until(camera, DeviceReady)
    assert (tmp_path / f"open {spare}").exists()
    camera.close()


def test_a_spare_that_dies_is_replaced_but_not_in_a_frenzy(camera, clock):
    spare, pid = settled(camera, clock), camera.pid
    os.kill(spare, signal.SIGKILL)
    wait_for(lambda: camera.poll() or camera.spare_pid is None)
    assert is_gone(spare)
    assert camera.poll() == []
    assert camera.spare_pid is None
    seen = camera.newest().sequence
    wait_for(lambda: camera.newest().sequence > seen)
    clock.sleep(10.0)
    wait_for(lambda: camera.poll() or camera.spare_pid is not None)
    assert camera.spare_pid != spare
    assert (camera.pid, camera.state) == (pid, "ready")
