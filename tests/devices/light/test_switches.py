"""The switches of the light on a simulated chip: they obey, notice a pulled chip, and never make anybody wait."""

from __future__ import annotations

import errno
import threading
import time

import pytest

from kiosk.devices.gpio.line import LineAddress, OutputLine
from kiosk.devices.gpio.simulated import SIMULATED, SimulatedChip
from kiosk.devices.light import switches as module
from kiosk.devices.light.switches import Pulse, Switches
from tests.support.camera_rigs import switches

PATIENCE_S = 60.0


def wait_for(condition):
    """Wait until a thread has done something; generous, because it only ends a test that has failed."""
    end_s = time.monotonic() + PATIENCE_S
    while not condition():
        assert time.monotonic() < end_s
        time.sleep(0.002)


class WatchedChip(SimulatedChip):
    """A simulated chip that remembers each change of what is on, and can be held up."""

    def __init__(self):
        super().__init__()
        self.history = [frozenset()]
        self.is_open = threading.Event()
        self.is_open.set()

    def check(self):
        self.is_open.wait(PATIENCE_S)
        super().check()
        if self.history[-1] != self.on:
            self.history.append(frozenset(self.on))


@pytest.fixture
def chip():
    return WatchedChip()


@pytest.fixture
def unhurried(monkeypatch):
    """Let no flash be too late on a busy machine."""
    monkeypatch.setattr(module, "LATE_S", PATIENCE_S)


@pytest.fixture
def light(chip):
    made = switches(chip)
    yield made
    chip.is_open.set()
    made.close()


def test_lamps_go_on_and_off_and_everything_is_off_and_free_at_the_end(chip, light):
    light.start()
    wait_for(lambda: chip.held == {0, 1})
    assert chip.on == set()
    light.light(True)
    wait_for(lambda: chip.on == {0})
    light.light(False)
    wait_for(lambda: chip.on == set())
    light.light(True)
    wait_for(lambda: chip.on == {0})
    light.close()
    assert chip.on == chip.held == set()


def test_what_a_crash_has_left_on_is_switched_off_at_the_start(chip, light):
    chip.on = {0, 1}
    light.start()
    wait_for(lambda: chip.on == set())


def test_one_order_fires_the_flash_once_and_leaves_the_lamps_as_they_are(chip, light, unhurried):
    light.start()
    light.light(True)
    light.fire()
    wait_for(lambda: {0, 1} in chip.history)
    wait_for(lambda: chip.on == {0})
    light.close()
    assert chip.history.count({0, 1}) == 1


def test_the_flash_waits_for_its_delay(chip, unhurried):
    lines = (OutputLine(LineAddress(SIMULATED, offset), chip.request_lines) for offset in range(2))
    light = Switches(*lines, Pulse(0.3, 0.02))
    light.start()
    wait_for(lambda: chip.held == {0, 1})
    ordered_s = time.monotonic()
    light.fire()
    wait_for(lambda: {1} in chip.history)
    assert time.monotonic() - ordered_s >= 0.3
    light.close()


def test_a_chip_that_is_pulled_is_noticed_while_nothing_is_switched_and_comes_back(chip, light, monkeypatch):
    monkeypatch.setattr(module, "CHECK_S", 0.01)
    light.start()
    light.light(True)
    wait_for(lambda: chip.on == {0})
    chip.failing = errno.ENODEV
    wait_for(lambda: light.fault)
    assert "no such device" in str(light.fault)
    chip.on = set()
    chip.failing = 0
    wait_for(lambda: light.fault is None)
    assert chip.on == {0}


def test_a_chip_that_hangs_makes_nobody_wait_and_is_a_fault(chip, light, monkeypatch):
    monkeypatch.setattr(module, "HUNG_S", 0.05)
    light.start()
    wait_for(lambda: chip.held == {0, 1})
    chip.is_open.clear()
    light.light(True)
    light.fire()
    wait_for(lambda: light.fault)
    assert "not answered" in str(light.fault)
    light.close()
    chip.is_open.set()


def test_a_flash_that_comes_too_late_is_not_fired(chip, light, monkeypatch):
    light.start()
    wait_for(lambda: chip.held == {0, 1})
    chip.is_open.clear()
    light.light(True)
    light.fire()
    time.sleep(module.LATE_S + 0.1)
    chip.is_open.set()
    wait_for(lambda: chip.on == {0})
    light.close()
    assert {0, 1} not in chip.history
