"""A camera in a process of its own, and the clock by which it is watched."""

from __future__ import annotations

import pytest

from kiosk.devices.base import DeviceReady
from kiosk.devices.camera.timeouts import Timeouts
from kiosk.devices.sim.camera import SimulatedCamera, SimulatedDriver
from kiosk.devices.sim.scenario import Scenario
from tests.devices.camera_process.patience import SITTER, until
from tests.support.manual_clock import ManualClock


@pytest.fixture
def clock():
    """Time for the watchdog, which stands still unless a test moves it."""
    return ManualClock()


@pytest.fixture
def camera(clock):
    limits = Timeouts(frame_age_s=2.0, resume_s=2.0)
    made = SimulatedCamera(SimulatedDriver(SITTER, Scenario(arrives_s=0)), limits, clock)
    made.start()
    until(made, DeviceReady)
    yield made
    made.close()
