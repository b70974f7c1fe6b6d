"""A hand that means no good: random touches, keys, windows and failing devices on a booth, and what must hold.

Whatever comes, the loop goes on, the window stays, and a booth that is left alone with devices that answer comes back
to welcome with nothing kept of the sitter.
"""

import contextlib
import random
import time
from collections import Counter

import pygame

from kiosk.core.visit import NEXT
from kiosk.devices.base import DeviceFailed, DeviceReady
from kiosk.devices.folder.printer import FolderPrinter
from kiosk.errors import CameraFault, PrinterFault
from kiosk.loop import TICK_S
from tests.core.sights import DOCUMENT, conforming, seen
from tests.quick_booth import Sights, SteadyCamera, opened

SIZE = (270, 480)
KEYS = tuple(getattr(pygame, name) for name in dir(pygame) if name.startswith("K_"))
MODIFIERS = (
    0,
    pygame.KMOD_ALT,
    pygame.KMOD_CTRL,
    pygame.KMOD_META,
    pygame.KMOD_CTRL | pygame.KMOD_ALT,
    pygame.KMOD_SHIFT,
)
WINDOWS = tuple(
    getattr(pygame, f"WINDOW{name}")
    for name in ("FOCUSLOST", "FOCUSGAINED", "MINIMIZED", "RESTORED", "LEAVE", "ENTER", "EXPOSED", "HIDDEN", "SHOWN")
)
CORNERS = tuple((x, y) for x in (0, SIZE[0] - 1) for y in (0, SIZE[1] - 1))
FORWARD = ("start", "choose", "ready", "agree", "accept", "done")
QUIET_S = 700.0
"""Longer than any state may last without an action (`House.idle_s`)."""


class RestlessCamera(SteadyCamera):
    """A camera that loses shots, and goes and comes back, when told to."""

    def __init__(self):
        super().__init__()
        self.loses = False

    def shoot(self):
        if self.loses:
            self._events.append(DeviceFailed(CameraFault(detail="it could not focus on the sitter")))
        else:
            super().shoot()

    def go(self):
        self.state = "fault"
        self._events.append(DeviceFailed(CameraFault(detail="the connection broke")))

    def come_back(self):
        if self.state != "ready":
            self.state = "ready"
            self._events.append(DeviceReady("restless"))


class RestlessSights(Sights):
    """A sitter who sometimes sits well."""

    def __init__(self, chance):
        self._chance = chance
        self.is_well = True

    def observe(self, rgb):
        return seen() if self.is_well else seen(dx=0.3, scale=0.5)

    def measure(self, rgb, focal_length_px=None):
        return conforming(DOCUMENT) if self._chance.random() < 0.7 else seen(scale=0.4)


class RestlessPrinter(FolderPrinter):
    """A printer that stops when told to."""

    stops = False

    def check(self):
        if self.stops:
            raise PrinterFault(printer="restless", detail="the paper has jammed")

    def print_sheet(self, job):
        self.check()
        return super().print_sheet(job)


class Monkey:
    """One booth under one hand."""

    def __init__(self, loop, parts, camera, sights, printer, chance):
        self.loop, self.parts, self.chance = loop, parts, chance
        self.camera, self.sights, self.printer = camera, sights, printer
        self.passed = Counter()

    def play(self, steps):
        """Do so many random things, and look after each."""
        ways = (self._touch, self._go_on, self._key, self._window, self._device, self._wait)
        for _ in range(steps):
            self.chance.choices(ways, (25, 20, 20, 5, 5, 25))[0]()
            self.tick()

    def tick(self):
        self.parts.worker.turn()
        self.loop.tick()
        self.parts.clock.sleep(TICK_S)
        state = self.loop.session.state
        self.passed[state] += 1
        assert state in NEXT
        assert not self.parts.screen.closed
        assert self.parts.screen.shown is not None

    def rest(self):
        """Let go of everything; the booth must come home by itself."""
        self.camera.come_back()
        self.camera.loses, self.printer.stops, self.sights.is_well = False, False, False
        deadline = time.monotonic() + 60.0
        self.parts.clock.sleep(QUIET_S)
        self.tick()
        while self.loop.session.state != "welcome":
            assert time.monotonic() < deadline, f"stuck in {self.loop.session.state}"
            time.sleep(0.001)
            self.parts.clock.sleep(10.0)
            self.tick()
        assert self.parts.files.names() == []
        assert self.parts.worker.seen() is None
        assert self.loop.session.still is None

    def _go_on(self):
        """Take the next step as a sitter would, so that random things happen everywhere."""
        targets = [target for target in self.parts.screen.stage.targets if getattr(target.act, "name", "") in FORWARD]
        for _ in range(20):
            self.tick()
        if targets:
            middle = self.chance.choice(targets).rect.centre
            values = {"button": 1, "pos": (round(middle.x), round(middle.y))}
            self._post((pygame.MOUSEBUTTONDOWN, values), (pygame.MOUSEBUTTONUP, values))

    def _touch(self):
        chance, targets = self.chance, self.parts.screen.stage.targets
        where = chance.random()
        if where < 0.6 and targets:
            middle = chance.choice(targets).rect.centre
            x, y = middle.x, middle.y
        elif where < 0.8:
            x, y = chance.choice(CORNERS)
        else:
            x, y = chance.uniform(-50, SIZE[0] + 50), chance.uniform(-50, SIZE[1] + 50)
        if chance.random() < 0.7:
            values = {"button": chance.choice((1, 1, 1, 2, 3)), "pos": (round(x), round(y))}
            self._post((pygame.MOUSEBUTTONDOWN, values), (pygame.MOUSEBUTTONUP, values))
            return
        values = {"touch_id": 0, "x": x / SIZE[0], "y": y / SIZE[1], "dx": 0.0, "dy": 0.0, "pressure": 1.0}
        if chance.random() < 0.8:
            finger = {**values, "finger_id": 0}
            self._post((pygame.FINGERDOWN, finger), (pygame.FINGERUP, finger))
            return
        for kind in chance.choices((pygame.FINGERDOWN, pygame.FINGERUP, pygame.FINGERMOTION), k=3):
            self._post((kind, {**values, "finger_id": chance.randrange(1, 4)}))

    def _key(self):
        key, modifier = self.chance.choice(KEYS), self.chance.choice(MODIFIERS)
        character = chr(key) if 0 < key < 0x110000 else ""
        for kind in (pygame.KEYDOWN, pygame.KEYUP):
            self._post((kind, {"key": key, "mod": modifier, "unicode": character, "scancode": 0}))
        self._post((pygame.TEXTINPUT, {"text": character}))

    def _window(self):
        self._post(
            (self.chance.choice(WINDOWS), {}), (pygame.DROPFILE, {"file": "/etc/passwd"}), (pygame.MOUSEWHEEL, {})
        )

    def _device(self):
        act = self.chance.randrange(5)
        if act == 0:
            self.camera.go()
        elif act == 1:
            self.camera.come_back()
        elif act == 2:
            self.camera.loses = not self.camera.loses
        elif act == 3:
            self.printer.stops = not self.printer.stops
        else:
            self.sights.is_well = not self.sights.is_well

    def _wait(self):
        for _ in range(self.chance.choice((1, 5, 40))):
            self.tick()
        self.parts.clock.sleep(self.chance.choice((0.0, 0.5, 5.0, 50.0)) if self.chance.random() < 0.1 else 0.0)

    def _post(self, *events):
        with contextlib.suppress(pygame.error):  # the queue is full: SDL drops the event, as it does a real one
            for kind, values in events:
                pygame.event.post(pygame.event.Event(kind, **values))


@contextlib.contextmanager
def monkey(folder, seed):
    """Open a booth in `folder` under a hand that is the same for the same seed."""
    chance = random.Random(seed)
    camera, sights = RestlessCamera(), RestlessSights(chance)
    printer = RestlessPrinter(folder / "prints")
    with opened(folder, camera, sights, printer, ("en", "ar", "de")) as (loop, parts):
        yield Monkey(loop, parts, camera, sights, printer, chance)
