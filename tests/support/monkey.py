"""A hand that means no good: random touches, drags, keys, PINs, windows and failing devices, and what must hold.

Whatever comes, the loop goes on, the window stays, nobody is behind the PIN who has not typed it, and a booth that is
left alone with devices that answer comes back to welcome with nothing kept of the sitter. An attendant who knows the
PIN is one of the hands; what the attendant shuts stays shut until it is opened again.
"""

import contextlib
import random
import time
from collections import Counter
from pathlib import Path

import argon2
import pygame

from kiosk.booth.loop import TICK_S
from kiosk.catalogue.badge_designs import PHOTO_RULES, photo_document, read_design
from kiosk.catalogue.documents import Catalogue
from kiosk.core.attendant.pin_lock import LONGEST_WAIT_S
from kiosk.core.base.measurement import Measurement
from kiosk.core.event.roster import Person
from kiosk.core.session.booth_config import Reception
from kiosk.core.session.state import NEXT
from kiosk.core.view.attendant import DeskIntent
from kiosk.devices.base import DeviceFailed, DeviceReady
from kiosk.devices.folder.printer import FolderPrinter
from kiosk.errors import CameraFault, PrinterFault
from kiosk.event.roster_worker import RosterWorker
from kiosk.store.roster.database import Database
from kiosk.store.roster.roster import Roster
from tests.support.inline_executor import InlineExecutor
from tests.support.manual_clock import ManualClock
from tests.support.quick_booth import Sights, SteadyCamera, opened
from tests.support.sights import DOCUMENT, conforming, seen

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
COMBINATIONS = tuple(
    (getattr(pygame, f"K_{key}"), modifier)
    for modifier, keys in (
        (pygame.KMOD_ALT, ("F4", "TAB", "SPACE", "F1", "F2", "ESCAPE", "SYSREQ")),
        (pygame.KMOD_CTRL, ("c", "q", "w", "z", "n", "ESCAPE", "F4")),
        (pygame.KMOD_CTRL | pygame.KMOD_ALT, ("DELETE", "BACKSPACE", "F1", "F2", "F7", "t", "l")),
        (pygame.KMOD_META, ("d", "l", "r", "e", "TAB", "SPACE")),
        (pygame.KMOD_SHIFT, ("F10", "TAB", "DELETE")),
        (0, ("LSUPER", "MENU", "PRINT", "F1", "F9", "F11", "POWER", "ESCAPE")),
    )
    for key in keys
)
"""What leads out of a program, to a menu or to another screen on one desktop or another."""
CORNERS = tuple((x, y) for x in (0, SIZE[0] - 1) for y in (0, SIZE[1] - 1))
FORWARD = ("start", "choose", "ready", "agree", "accept", "accept_doubt", "done", "print", "guest", "without_photo")
PIN = "480217"
CHEAP_HASH = argon2.PasswordHasher(time_cost=1, memory_cost=8, parallelism=1).hash(PIN)
"""As `kiosk.system.pin_hash` makes it, for a hundredth of the work: the hash carries its parameters (RFC 9106)."""
DESIGN = read_design(Path(__file__).parents[2] / "specs" / "badges" / "card-photo-left.toml")
PEOPLE = ("Ada Lind", "Adele Öz", "Βίκυ Ρήγα", "Bo", "Кира Ланд")
QUIET_S = 700.0
"""Longer than any state may last without an action (`BoothConfig.idle_s`)."""


class RestlessCamera(SteadyCamera):
    """A camera that loses shots, and goes and comes back, when told to."""

    def __init__(self):
        super().__init__()
        self.loses = False

    def shoot(self, ticket):
        if self.loses:
            self._events.append(DeviceFailed(CameraFault(detail="it could not focus on the sitter"), ticket))
        else:
            super().shoot(ticket)

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
        which = self._chance.random()
        if which < 0.2:
            return conforming(DOCUMENT, yaw=Measurement("yaw", None, "deg"))
        return conforming(DOCUMENT) if which < 0.75 else seen(scale=0.4)


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
        self.passed, self.pages, self.acts = Counter(), Counter(), Counter()
        self._knows_pin = False

    def play(self, steps):
        """Do so many random things, and look after each."""
        ways = {
            self._touch: 20,
            self._go_on: 20,
            self._desk: 12,
            self._key: 10,
            self._combination: 8,
            self._drag: 5,
            self._hold: 2,
            self._wrong_pin: 3,
            self.sign_in: 2,
            self._window: 5,
            self._device: 5,
            self._wait: 20,
        }
        for _ in range(steps):
            way = self.chance.choices(list(ways), list(ways.values()))[0]
            self.acts[way.__name__.strip("_")] += 1
            way()
            self.tick()

    def tick(self):
        self.parts.worker.turn()
        self.loop.tick()
        self.parts.clock.sleep(TICK_S)
        state, page = self.loop.session.state, self.parts.desk.desk.page
        self.passed[state] += 1
        self.pages[page] += 1
        assert state in NEXT
        assert not self.parts.screen.closed
        assert self.parts.screen.shown is not None
        assert self._knows_pin or page in ("closed", "pin"), f"behind the PIN, at {page}"
        if self.loop.has_ended:
            assert self._knows_pin, "ended by somebody without the PIN"
            self.pages["ended"] += 1
            self.loop.has_ended = False
        self._knows_pin = self._knows_pin and page != "closed"

    def rest(self):
        """Let go of everything; the booth must come home by itself, or as soon as its attendant opens it."""
        self.camera.come_back()
        self.camera.loses, self.printer.stops, self.sights.is_well = False, False, False
        pygame.event.clear()
        self.parts.clock.sleep(QUIET_S)
        self.tick()
        self._open_again()
        deadline = time.monotonic() + 60.0
        while self.loop.session.state != "welcome":
            assert time.monotonic() < deadline, f"stuck in {self.loop.session.state}"
            time.sleep(0.001)
            self.parts.clock.sleep(10.0)
            self.tick()
        while not self.parts.worker._jobs.empty():
            self.parts.worker.turn()
        assert self.parts.files.names() == []
        assert self.parts.worker.seen() is None
        assert self.loop.session.still is None
        assert self.parts.desk.desk.page == "closed"

    def sign_in(self):
        """Type the right PIN on a keyboard, unless the lock is on."""
        self._press(pygame.K_ESCAPE, pygame.K_ESCAPE, pygame.K_F9)
        self._knows_pin = True
        self._press(*map(ord, PIN), pygame.K_RETURN)
        self._settle()

    def _open_again(self):
        """Have an attendant open what one has shut, and load paper."""
        desk = self.parts.desk
        if desk.desk.why_shut is None:
            return
        self.parts.clock.sleep(LONGEST_WAIT_S)
        self.sign_in()
        assert desk.desk.page == "state"
        if desk.desk.is_shut:
            self._tap(DeskIntent("open_again"))
        self._tap(DeskIntent("show", "paper"))
        self._press(*map(ord, "900"), pygame.K_RETURN)
        self._press(pygame.K_ESCAPE)
        assert desk.desk.page == "closed"

    def _tap(self, act):
        middle = next(target for target in self.parts.screen.stage.targets if target.act == act).rect.centre
        self.parts.clock.sleep(1.0)
        values = {"button": 1, "pos": (round(middle.x), round(middle.y))}
        self._post((pygame.MOUSEBUTTONDOWN, values), (pygame.MOUSEBUTTONUP, values))
        self.tick()

    def _press(self, *keys):
        for key in keys:
            self._post((pygame.KEYDOWN, {"key": key, "mod": 0, "unicode": chr(key) if key < 128 else ""}))
            self.tick()

    def _settle(self):
        """Wait for the desk's threads, which are real ones."""
        deadline = time.monotonic() + 60.0
        while self.parts.desk.is_busy:
            assert time.monotonic() < deadline, "the desk hangs"
            time.sleep(0.001)
            self.tick()
        self.tick()

    def _wrong_pin(self):
        """Open the desk, by a finger at the upper edge or by a key, and try PINs."""
        if self.chance.random() < 0.5:
            self._rest_finger(self.chance.uniform(0, SIZE[0]), self.chance.uniform(0, 20), 3.2)
        else:
            self._press(pygame.K_F9)
        for _ in range(self.chance.choice((1, 1, 5))):
            digits = self.chance.choices(range(10), k=self.chance.choice((1, 6, 6, 12, 30)))
            self._press(*(ord(str(digit)) for digit in digits), pygame.K_RETURN)
            if self.chance.random() < 0.8:
                self._settle()

    def _desk(self):
        """Touch something of the desk that is open, or go on as a sitter."""
        targets = [target for target in self.parts.screen.stage.targets if isinstance(target.act, DeskIntent)]
        if not targets:
            self._go_on()
            return
        self._tap(self.chance.choice(targets).act)

    def _drag(self):
        """Draw a finger across the glass, begun and let go anywhere."""
        ways = [(self.chance.random(), self.chance.random()) for _ in range(self.chance.choice((2, 5, 20)))]
        finger = self.chance.randrange(3)
        for index, (x, y) in enumerate(ways):
            kind = (pygame.FINGERDOWN, pygame.FINGERMOTION, pygame.FINGERUP)[min(index, 1) + (index == len(ways) - 1)]
            values = {"touch_id": 0, "finger_id": finger, "x": x, "y": y, "dx": 0.0, "dy": 0.0, "pressure": 1.0}
            self._post((kind, values))
            if self.chance.random() < 0.5:
                self.tick()

    def _hold(self):
        self._rest_finger(self.chance.uniform(0, SIZE[0]), self.chance.uniform(0, SIZE[1]), self.chance.uniform(2, 6))

    def _rest_finger(self, x, y, seconds):
        values = {"button": 1, "pos": (round(x), round(y))}
        self._post((pygame.MOUSEBUTTONDOWN, values))
        for _ in range(4):
            self.parts.clock.sleep(seconds / 4)
            self.tick()
        self._post((pygame.MOUSEBUTTONUP, values))
        self.tick()

    def _combination(self):
        key, modifier = self.chance.choice(COMBINATIONS)
        character = chr(key) if 0 < key < 0x80 and not modifier else ""
        for kind in (pygame.KEYDOWN, pygame.KEYUP):
            self._post((kind, {"key": key, "mod": modifier, "unicode": character, "scancode": 0}))

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


def event_in(folder):
    """Return the desk of an event with a roster in `folder`, and its reception."""
    clock = ManualClock()
    folder.mkdir(parents=True, exist_ok=True)
    roster = Roster(Database(f"sqlite:///{folder / 'event.db'}"), "desk", clock)
    if not roster.next_letters(""):
        values = [
            {"id": f"E{at}", "name": name, "role": "visitor", "organisation": ""} for at, name in enumerate(PEOPLE)
        ]
        roster.import_list([Person(value["id"], value) for value in values])
    document = photo_document(DESIGN, DESIGN.photo, Catalogue.load().get(PHOTO_RULES["free"]))
    return RosterWorker(DESIGN, roster, clock, None, InlineExecutor()), Reception(document)


@contextlib.contextmanager
def monkey(folder, seed):
    """Open a booth in `folder` under a hand that is the same for the same seed.

    Every second booth waits for an attendant to release its sheets; two of four leave doubtful photos to the sitter;
    every fourth hands out badges at an event.
    """
    chance = random.Random(seed)
    camera, sights = RestlessCamera(), RestlessSights(chance)
    printer = RestlessPrinter(folder / "prints")
    with opened(
        folder,
        camera,
        sights,
        printer,
        ("en", "ar", "de"),
        pin_hash=CHEAP_HASH,
        release=("free", "attendant")[seed % 2],
        doubt=("sitter", "attendant")[seed // 2 % 2],
        event=event_in(folder) if seed % 4 == 0 else None,
        reprint_minutes=15,
        sheets=((1,), (1, 2))[seed // 2 % 2],
    ) as (loop, parts):
        yield Monkey(loop, parts, camera, sights, printer, chance)
