"""What is left when the camera is closed or its owner is killed: nothing."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

import pytest

from kiosk.core.base.ticket import Ticket
from kiosk.devices.base import DeviceReady, StillTaken
from kiosk.devices.camera.timeouts import Timeouts
from kiosk.devices.sim.camera import SimulatedCamera, SimulatedDriver
from kiosk.devices.sim.scenario import Scenario
from tests.devices.camera_process.patience import SITTER, is_gone, open_files, shared_memory, until, wait_for

UNHURRIED = Timeouts(start_s=60.0, frame_age_s=60.0, resume_s=60.0, shot_s=60.0)
OWNER = Path(__file__).with_name("camera_owner.py")


@pytest.mark.parametrize("faults", [(), ("freeze",)])
def test_the_child_and_its_spare_end_when_their_parent_is_killed(faults):
    command = [sys.executable, str(OWNER), str(SITTER), *faults]
    with subprocess.Popen(command, stdout=subprocess.PIPE, text=True) as owner:
        children = list(map(int, owner.stdout.readline().split()))
        assert len(children) == 2
        assert not any(map(is_gone, children))
        owner.kill()
    wait_for(lambda: all(map(is_gone, children)))


def test_close_leaves_no_process_no_file_no_memory_and_no_word(capfd):
    SimulatedDriver(SITTER, Scenario())
    warm_up = SimulatedCamera(SimulatedDriver(SITTER, Scenario()), UNHURRIED)
    warm_up.start()
    warm_up.close()
    files, shared = open_files(), shared_memory()
    camera = SimulatedCamera(SimulatedDriver(SITTER, Scenario()), UNHURRIED)
    camera.start()
    until(camera, DeviceReady)
    wait_for(lambda: camera.poll() or camera.spare_pid)
    pids = camera.pid, camera.spare_pid
    camera.shoot(Ticket(1))
    until(camera, StillTaken)
    camera.close()
    assert all(map(is_gone, pids))
    assert open_files() <= files
    wait_for(lambda: shared_memory() <= shared)
    assert capfd.readouterr() == ("", "")


def test_a_hung_child_does_not_hold_up_close(clock):
    camera = SimulatedCamera(SimulatedDriver(SITTER, Scenario()), Timeouts(close_s=0.1), clock)
    camera.start()
    until(camera, DeviceReady)
    pid = camera.pid
    camera.fail_next("freeze")
    camera.close()
    assert is_gone(pid)
