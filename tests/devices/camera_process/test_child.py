"""A child that dies is replaced, and whoever uses the camera notices no more than that."""

from __future__ import annotations

import os
import signal
import threading
from pathlib import Path

import pytest

from kiosk.core.base.ticket import Ticket
from kiosk.devices.base import DeviceFailed, DeviceReady, StillTaken
from kiosk.devices.camera.driver import LOST_SHOT
from kiosk.devices.camera.timeouts import Timeouts
from kiosk.devices.sim.camera import SimulatedCamera, SimulatedDriver
from kiosk.devices.sim.scenario import Scenario
from kiosk.errors import CameraFault
from tests.devices.camera_process.patience import SITTER, is_gone, names, until, wait_for


@pytest.mark.parametrize("number", [signal.SIGKILL, signal.SIGABRT, signal.SIGSEGV])
def test_a_child_that_dies_is_replaced_and_the_live_view_goes_on(camera, number):
    pid, sequence = camera.pid, camera.newest().sequence
    os.kill(pid, number)
    assert isinstance(until(camera, DeviceFailed).error, CameraFault)
    assert camera.state == "fault"
    assert camera.newest() is None
    until(camera, DeviceReady)
    assert camera.pid != pid
    assert camera.newest().sequence > sequence
    assert is_gone(pid)


def test_an_interrupt_from_the_keyboard_is_left_to_the_parent(camera):
    pid, sequence = camera.pid, camera.newest().sequence
    os.kill(pid, signal.SIGINT)
    wait_for(lambda: camera.poll() or camera.newest().sequence > sequence + 5)
    assert camera.pid == pid


def test_a_still_that_was_handed_over_is_no_longer_in_shared_memory(camera):
    camera.shoot(Ticket(1))
    still = until(camera, StillTaken).jpeg
    part = still[len(still) // 2 :][:64]
    links = [Path("/proc/self/fd", name) for name in names("/proc/self/fd")]
    shared = [link for link in links if link.exists() and "memfd:holdstill" in str(link.readlink())]
    assert shared
    assert not any(part in fd.read_bytes() for fd in shared)


def test_a_child_killed_during_a_shot_ends_the_shot(camera):
    camera.fail_next("stall")
    camera.shoot(Ticket(1))
    os.kill(camera.pid, signal.SIGKILL)
    until(camera, DeviceFailed)
    until(camera, DeviceReady)
    camera.shoot(Ticket(1))
    assert until(camera, StillTaken).jpeg


class NotesWishes(SimulatedDriver):
    """A camera that leaves a file for each wish."""

    def __init__(self, folder):
        super().__init__(SITTER, Scenario(arrives_s=0))
        self._noted = folder

    def ask(self, wish, argument):
        (self._noted / f"{wish} {argument}").touch()
        super().ask(wish, argument)


@pytest.mark.parametrize("in_a_shot", [True, False])
def test_the_next_child_learns_of_a_shot_that_was_lost_with_the_last(tmp_path, clock, in_a_shot):
    camera = SimulatedCamera(NotesWishes(tmp_path), Timeouts(), clock)
    camera.start()
    until(camera, DeviceReady)
    if in_a_shot:
        camera.fail_next("stall")
        camera.shoot(Ticket(1))
    os.kill(camera.pid, signal.SIGKILL)
    until(camera, DeviceFailed)
    until(camera, DeviceReady)
    camera.shoot(Ticket(2))
    until(camera, StillTaken)
    assert any(tmp_path.glob(f"{LOST_SHOT} *")) == in_a_shot
    camera.close()


def test_another_thread_may_look_at_the_newest_frame_throughout(camera):
    seen, stop = [], threading.Event()

    def look():
        while not stop.is_set():
            frame = camera.newest()
            if frame:
                assert frame.jpeg.startswith(b"\xff\xd8")
                seen.append(frame.sequence)

    thread = threading.Thread(target=look)
    thread.start()
    os.kill(camera.pid, signal.SIGKILL)
    until(camera, DeviceFailed)
    until(camera, DeviceReady)
    stop.set()
    thread.join()
    assert seen == sorted(seen)


def test_an_instruction_heard_before_a_restart_is_heard_again(clock):
    scenario = Scenario(arrives_s=1e6)
    camera = SimulatedCamera(SimulatedDriver(SITTER, scenario), Timeouts(), clock)
    camera.start()
    until(camera, DeviceReady)
    empty = len(camera.newest().jpeg)
    camera.hear("sit_down")
    os.kill(camera.pid, signal.SIGKILL)
    until(camera, DeviceFailed)
    until(camera, DeviceReady)
    wait_for(lambda: camera.poll() or len(camera.newest().jpeg) > empty * 1.3)
    camera.close()
