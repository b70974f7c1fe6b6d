"""A camera that cannot be had is tried again, ever more rarely and never in a frenzy."""

from __future__ import annotations

import os
import resource
import signal

import pytest

from kiosk.devices.base import DeviceFailed, DeviceReady
from kiosk.devices.camera.driver import NotThere
from kiosk.devices.camera.supervisor import SupervisedCamera
from kiosk.devices.camera.timeouts import Timeouts
from kiosk.devices.folder.camera import FolderDriver
from kiosk.devices.sim.camera import SimulatedDriver
from kiosk.devices.sim.scenario import Scenario
from kiosk.devices.uvc.camera import WebcamDriver
from kiosk.errors import SettingsRefused
from tests.devices.camera_process.patience import until, wait_for


def test_a_child_that_cannot_be_started_is_tried_again(camera, clock):
    soft, hard = resource.getrlimit(resource.RLIMIT_NOFILE)
    events = []
    resource.setrlimit(resource.RLIMIT_NOFILE, (3, hard))
    try:
        os.kill(camera.pid, signal.SIGKILL)
        wait_for(lambda: events.extend(camera.poll()) or len(events) == 2)
    finally:
        resource.setrlimit(resource.RLIMIT_NOFILE, (soft, hard))
    assert "ended without a word" in str(events[0].error)
    assert "Too many open files" in str(events[1].error)
    clock.sleep(2.0)
    until(camera, DeviceReady)


def test_a_camera_that_comes_and_goes_is_not_started_in_a_frenzy(camera, clock):
    delays = []
    for _ in range(5):
        os.kill(camera.pid, signal.SIGKILL)
        until(camera, DeviceFailed)
        wait_for(lambda: camera._children.are_buried)
        before = clock.now_s()
        events = []
        wait_for(lambda events=events: events.extend(camera.poll()) or events or (not camera.pid and clock.sleep(0.1)))
        assert [type(event) for event in events] == [DeviceReady]
        delays.append(round(clock.now_s() - before, 1))
    assert delays == sorted(delays)
    assert delays[-1] == pytest.approx(2.0, abs=0.15)
    seen = camera.newest().sequence
    wait_for(lambda: camera.newest().sequence > seen)
    clock.sleep(10.0)
    camera.poll()
    os.kill(camera.pid, signal.SIGKILL)
    until(camera, DeviceFailed)
    until(camera, DeviceReady)


def test_a_fault_that_lasts_is_reported_once_and_tried_again_ever_more_rarely(tmp_path, clock):
    camera = SupervisedCamera(SimulatedDriver(tmp_path, Scenario()), Timeouts(), clock)
    camera.start()
    assert isinstance(until(camera, DeviceFailed).error, SettingsRefused)
    starts = []
    for _ in range(4):
        wait_for(lambda: camera._children.are_buried)
        before = clock.now_s()
        wait_for(lambda: camera.poll() or camera.pid is not None or clock.sleep(0.1))
        starts.append(round(clock.now_s() - before, 1))
        wait_for(lambda: camera.poll() or camera.pid is None)
    assert starts == sorted(starts)
    assert starts[-1] <= 2.1
    camera.close()


def test_a_camera_that_is_not_there_is_looked_for_by_one_process(tmp_path, clock):
    folder = tmp_path / "in"
    camera = SupervisedCamera(FolderDriver(folder, simulated=True), Timeouts(), clock)
    camera.start()
    assert isinstance(until(camera, DeviceFailed).error, NotThere)
    pid = camera.pid
    clock.sleep(14.0)
    before = camera._silence._since_s
    wait_for(lambda: camera.poll() or camera._silence._since_s > before)
    assert (camera.pid, camera.state) == (pid, "fault")
    folder.mkdir()
    until(camera, DeviceReady)
    assert camera.pid == pid
    camera.close()


def test_a_webcam_that_is_not_there_is_a_fault_in_words(clock):
    camera = SupervisedCamera(WebcamDriver(63), Timeouts(), clock)
    camera.start()
    assert str(until(camera, DeviceFailed).error) == "The camera has a fault: no webcam is connected at /dev/video63."
    assert not camera.simulated
    camera.close()
