"""Whatever happens to a tethered camera, and whenever: no still is another order's, and none is the button's."""

from __future__ import annotations

import random
import time

import pytest

from kiosk.core.base.ticket import Ticket
from kiosk.devices.base import DeviceFailed, StillTaken
from kiosk.devices.camera.supervisor import SupervisedCamera
from kiosk.devices.camera.timeouts import Timeouts
from kiosk.devices.gphoto2.camera import TetheredDriver
from tests.ptpip.rig import ResponderProcess, other_stills, sitter_pictures

LIMITS = Timeouts(start_s=120.0, frame_age_s=30.0, resume_s=60.0, shot_s=4.0)
STILLS = 20
HANG_S = 120.0
AHEAD_S = 7200
BODIES = [("nikon",), ("nikon", "--card", "--reuse"), ("canon",), ("canon", "--card", "--reuse")]
HAPPENINGS = ["nothing", "press", "press held", "press_at_capture", "late_object", "stall_late", "focus", "truncate"]
PULLS = ["drop_preview", "drop_capture", "drop_download", "off"]


class Day:
    """A camera, its body, and what came of the orders."""

    def __init__(self, folder, body, seed):
        self.chance = random.Random(seed)
        pictures = other_stills(folder, STILLS + 2)
        self.stills = [path.read_bytes() for path in pictures[:STILLS]]
        still = "--still", *pictures[:STILLS], "--button", *pictures[STILLS:]
        maker, *more = body
        options = "--maker", maker, "--clock-s", str(AHEAD_S), "--frame-interval-s", "0.02", *still, *more
        self.responder = ResponderProcess(sitter_pictures(folder)[0], pictures[0], *options)
        self.camera = SupervisedCamera(TetheredDriver(self.responder.address), LIMITS)
        self.camera.start()
        self.used = self.lost = 0

    def happen(self, what):
        """Let something happen to the body."""
        if what == "press held":
            self.responder.tell(f"clock {AHEAD_S - 60}")
            self.responder.tell(what)
            self.responder.tell(f"clock {AHEAD_S}")
        elif what == "press":
            self.responder.tell(what)
        elif what == "off":
            self.responder.tell("off")
            self.responder.tell("on")
        elif what != "nothing":
            self.responder.tell(f"late {self.chance.choice([0.2, 1.0, 3.0, 5.0])}")
            self.responder.fault(what)

    def order(self, ticket):
        """Order a still when the camera is ready, and look at what comes."""
        self.wait(lambda event: self.camera.state == "ready")
        if self.chance.random() < 0.5:
            self.camera.forget()
        self.camera.shoot(ticket)
        came = self.wait(lambda event: isinstance(event, StillTaken | DeviceFailed) and event.ticket == ticket)
        if isinstance(came, DeviceFailed):
            self.lost += 1
            return
        self.used += 1
        newest = self.stills[(int(self.responder.tell("taken")) - 1) % STILLS]
        assert came.jpeg.endswith(newest[2:]), f"{ticket} was given another picture"

    def wait(self, is_it):
        """Poll until an event, or none, is what is waited for; every still must be that."""
        end_s = time.monotonic() + HANG_S
        while time.monotonic() < end_s:
            for event in [*self.camera.poll(), None]:
                if is_it(event):
                    return event
                assert not isinstance(event, StillTaken), "a still came that nobody waited for"
            time.sleep(0.005)
        raise AssertionError("it hangs")

    def close(self):
        self.camera.close()
        self.responder.close()


def live_through(folder, body, seed, orders):
    """Order stills one after another, each with something happening before it."""
    day = Day(folder, body, seed)
    try:
        for number in range(1, orders + 1):
            day.happen(day.chance.choice(HAPPENINGS + PULLS))
            day.order(Ticket(number))
    finally:
        day.close()
    return day


@pytest.mark.parametrize("body", BODIES[1:3], ids=" ".join)
def test_in_a_short_day_no_still_is_another_orders(tmp_path, body):
    day = live_through(tmp_path, body, seed=1, orders=8)
    assert day.used > 0


@pytest.mark.slow
@pytest.mark.parametrize("seed", [0])
@pytest.mark.parametrize("body", BODIES, ids=" ".join)
def test_in_a_long_day_no_still_is_another_orders(tmp_path, body, seed):
    day = live_through(tmp_path, body, seed, orders=40)
    assert day.used > day.lost / 3
