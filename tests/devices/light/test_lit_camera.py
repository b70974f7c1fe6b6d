"""A camera waits for its light: warm lamps, a charged flash, and never two flashes close to each other."""

from __future__ import annotations

import errno
import itertools

import pytest

from kiosk.core.base.ticket import Ticket
from kiosk.devices.base import DeviceFailed, StillTaken
from kiosk.devices.light.lit_camera import Light, LitCamera
from kiosk.errors import LineFault
from tests.support.manual_clock import ManualClock

FIRST, SECOND, THIRD = Ticket(1), Ticket(2), Ticket(3)
LAMPS, FLASH = Light(warm_up_s=3.0, off_after_s=60.0), Light(recycle_s=2.0)


class Camera:
    """A camera that takes what it is ordered to when it is let, and remembers when it was ordered."""

    simulated, state = True, "ready"

    def __init__(self, clock):
        self._clock = clock
        self.events, self.ordered = [], []

    def shoot(self, ticket):
        self.ordered.append((ticket, self._clock.now_s()))

    def forget(self):
        pass

    def poll(self):
        events, self.events = self.events, []
        return events


class Recorder:
    """What the camera asks of the switches."""

    fault = None

    def __init__(self):
        self.asked = []

    def light(self, on):
        self.asked.append(on)

    def fire(self):
        self.asked.append("fire")


@pytest.fixture
def clock():
    return ManualClock(100.0)


@pytest.fixture
def camera(clock):
    return Camera(clock)


@pytest.fixture
def switches():
    return Recorder()


def polled(lit, clock, seconds):
    """Poll ten times a second, and return what came."""
    events = []
    for _ in range(round(seconds * 10)):
        clock.sleep(0.1)
        events += lit.poll()
    return events


def test_no_picture_is_taken_before_the_lamps_are_warm(camera, switches, clock):
    lit = LitCamera(camera, switches, LAMPS, clock)
    lit.shoot(FIRST)
    assert lit.state == "busy"
    polled(lit, clock, 5.0)
    ((ticket, at_s),) = camera.ordered
    assert ticket == FIRST
    assert at_s == pytest.approx(103.0, abs=0.15)
    lit.shoot(SECOND)
    assert camera.ordered[-1][0] == SECOND
    assert switches.asked == [True]


def test_lamps_stay_on_while_they_are_needed_and_for_the_next_sitter(camera, switches, clock):
    lit = LitCamera(camera, switches, LAMPS, clock)
    polled(lit, clock, 100.0)
    assert switches.asked == []
    for _ in range(200):
        lit.need_light()
        polled(lit, clock, 0.1)
    polled(lit, clock, 59.0)
    assert switches.asked == [True]
    polled(lit, clock, 2.0)
    assert switches.asked == [True, False]


def test_restless_fingers_on_the_screen_do_not_make_the_lamps_flicker(camera, switches, clock):
    lit = LitCamera(camera, switches, LAMPS, clock)
    for _ in range(50):
        lit.need_light()
        polled(lit, clock, 1.0)
    assert switches.asked == [True]


def test_a_flash_is_fired_with_its_picture_and_the_next_waits_until_it_is_charged(camera, switches, clock):
    lit = LitCamera(camera, switches, FLASH, clock)
    for ticket in (FIRST, SECOND, SECOND, THIRD):
        lit.shoot(ticket)
    for _ in range(20):
        if camera.ordered and not camera.events:
            clock.sleep(0.3)
            camera.events.append(StillTaken(camera.ordered[-1][0], b""))
        polled(lit, clock, 1.0)
    assert [ticket for ticket, _ in camera.ordered] == [FIRST, SECOND, THIRD]
    assert switches.asked.count("fire") == 3
    times = [at_s for _, at_s in camera.ordered]
    assert min(later - earlier for earlier, later in itertools.pairwise(times)) >= 2.0


def test_a_camera_that_is_slow_to_focus_does_not_flash_twice_in_a_row(camera, switches, clock):
    lit = LitCamera(camera, switches, FLASH, clock)
    lit.shoot(FIRST)
    lit.shoot(SECOND)
    polled(lit, clock, 10.0)
    camera.events.append(StillTaken(FIRST, b""))
    flashed_s = clock.now_s()
    polled(lit, clock, 3.0)
    assert camera.ordered[1][1] - flashed_s >= 2.0


def test_a_shot_that_failed_may_have_flashed(camera, switches, clock):
    lit = LitCamera(camera, switches, FLASH, clock)
    lit.shoot(FIRST)
    camera.events += [DeviceFailed(LineFault(line=1, chip="x", detail="y"), FIRST)]
    polled(lit, clock, 0.1)
    lit.shoot(SECOND)
    assert len(camera.ordered) == 1
    polled(lit, clock, 2.1)
    assert len(camera.ordered) == 2


def test_a_picture_that_waits_for_the_light_is_not_taken_of_the_next_sitter(camera, switches, clock):
    lit = LitCamera(camera, switches, LAMPS, clock)
    lit.shoot(FIRST)
    lit.forget()
    (failed,) = polled(lit, clock, 10.0)
    assert failed.ticket == FIRST
    assert camera.ordered == []


def test_without_light_no_picture_is_taken(camera, switches, clock):
    lit = LitCamera(camera, switches, LAMPS, clock)
    switches.fault = LineFault(line=0, chip="x", detail=errno.errorcode[errno.ENODEV])
    lit.shoot(FIRST)
    assert polled(lit, clock, 10.0) == [DeviceFailed(switches.fault, FIRST)]
    assert camera.ordered == []
