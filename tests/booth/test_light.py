"""The light of a whole booth on a simulated chip: from the first tap to the last sitter, and a chip that is lost."""

import errno
import time

import pytest

from kiosk.core.view.intent import Intent
from kiosk.devices.gpio.line import LineAddress, OutputLine
from kiosk.devices.gpio.simulated import SIMULATED, SimulatedChip
from kiosk.devices.light import switches as switches_module
from kiosk.devices.light.lit_camera import Light, LitCamera
from kiosk.devices.light.switches import Switches
from tests.support.manual_clock import ManualClock
from tests.support.quick_booth import SteadyCamera, opened

PATIENCE_S = 60.0


class Startable(SteadyCamera):
    def start(self):
        pass

    def close(self):
        pass


@pytest.fixture
def chip(monkeypatch):
    monkeypatch.setattr(switches_module, "CHECK_S", 0.01)
    return SimulatedChip()


@pytest.fixture
def booth(chip, tmp_path):
    clock = ManualClock(100.0)
    lamps = OutputLine(LineAddress(SIMULATED, 0), chip.request_lines)
    camera = LitCamera(Startable(), Switches(lamps), Light(1.0, 60.0), clock)
    with opened(tmp_path, camera=camera) as (loop, parts):
        camera.start()
        yield loop, parts, clock
        camera.close()


def tick_until(loop, condition):
    """Tick until a thread has done something; generous, because it only ends a test that has failed."""
    end_s = time.monotonic() + PATIENCE_S
    while not condition():
        assert time.monotonic() < end_s
        loop.tick()
        time.sleep(0.005)


def test_lamps_are_on_from_the_first_tap_until_a_minute_after_the_sitter_has_left(booth, chip):
    loop, _, clock = booth
    tick_until(loop, lambda: 0 in chip.held)
    assert chip.on == set()
    loop._step(Intent("start"))
    assert loop.session.state == "choose"
    tick_until(loop, lambda: chip.on == {0})
    loop._step(Intent("start_again"))
    assert loop.session.state == "welcome"
    clock.sleep(59.0)
    loop.tick()
    time.sleep(0.1)
    assert chip.on == {0}
    clock.sleep(2.0)
    tick_until(loop, lambda: chip.on == set())


def test_a_chip_that_is_pulled_puts_the_booth_out_of_order_until_it_is_back(booth, chip):
    loop, _, _ = booth
    tick_until(loop, lambda: 0 in chip.held)
    chip.failing = errno.ENODEV
    tick_until(loop, lambda: loop.session.state == "out_of_order")
    assert "GPIO line 0" in loop.session.fault[0]
    chip.failing = 0
    tick_until(loop, lambda: loop.session.state == "welcome")
