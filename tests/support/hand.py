"""A hand on the glass and the keys: random touches, drags, keys and windows, posted as pygame's own events."""

import contextlib
import random
from collections.abc import Callable

import pygame

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


class Hand:
    """One hand on one booth.

    Parameters
    ----------
    parts
        The booth's parts, of which it needs the screen and the clock (`tests.support.quick_booth`).
    chance
        What it depends on.
    tick
        Lets the booth work for one tick.
    """

    def __init__(self, parts, chance: random.Random, tick: Callable[[], None]) -> None:
        self._parts, self._chance, self._tick = parts, chance, tick

    def touch(self):
        """Touch a target, a corner, or anywhere, with a mouse or with fingers that may not have come down."""
        chance, targets = self._chance, self._parts.screen.stage.targets
        where = chance.random()
        if where < 0.6 and targets:
            middle = chance.choice(targets).rect.centre
            x, y = middle.x, middle.y
        elif where < 0.8:
            x, y = chance.choice(CORNERS)
        else:
            x, y = chance.uniform(-50, SIZE[0] + 50), chance.uniform(-50, SIZE[1] + 50)
        if chance.random() < 0.7:
            self.click(x, y, chance.choice((1, 1, 1, 2, 3)))
            return
        values = {"touch_id": 0, "x": x / SIZE[0], "y": y / SIZE[1], "dx": 0.0, "dy": 0.0, "pressure": 1.0}
        if chance.random() < 0.8:
            finger = {**values, "finger_id": 0}
            self._post((pygame.FINGERDOWN, finger), (pygame.FINGERUP, finger))
            return
        for kind in chance.choices((pygame.FINGERDOWN, pygame.FINGERUP, pygame.FINGERMOTION), k=3):
            self._post((kind, {**values, "finger_id": chance.randrange(1, 4)}))

    def drag(self):
        """Draw a finger across the glass, begun and let go anywhere."""
        ways = [(self._chance.random(), self._chance.random()) for _ in range(self._chance.choice((2, 5, 20)))]
        finger = self._chance.randrange(3)
        for index, (x, y) in enumerate(ways):
            kind = (pygame.FINGERDOWN, pygame.FINGERMOTION, pygame.FINGERUP)[min(index, 1) + (index == len(ways) - 1)]
            values = {"touch_id": 0, "finger_id": finger, "x": x, "y": y, "dx": 0.0, "dy": 0.0, "pressure": 1.0}
            self._post((kind, values))
            if self._chance.random() < 0.5:
                self._tick()

    def hold(self):
        """Rest a finger anywhere, for longer than any touch."""
        self.rest_finger(self._chance.uniform(0, SIZE[0]), self._chance.uniform(0, SIZE[1]), self._chance.uniform(2, 6))

    def key(self):
        """Press any key with any modifier."""
        key, modifier = self._chance.choice(KEYS), self._chance.choice(MODIFIERS)
        character = chr(key) if 0 < key < 0x110000 else ""
        for kind in (pygame.KEYDOWN, pygame.KEYUP):
            self._post((kind, {"key": key, "mod": modifier, "unicode": character, "scancode": 0}))
        self._post((pygame.TEXTINPUT, {"text": character}))

    def combination(self):
        """Press what opens a menu or leaves a program on a desktop."""
        key, modifier = self._chance.choice(COMBINATIONS)
        character = chr(key) if 0 < key < 0x80 and not modifier else ""
        for kind in (pygame.KEYDOWN, pygame.KEYUP):
            self._post((kind, {"key": key, "mod": modifier, "unicode": character, "scancode": 0}))

    def window(self):
        """Do to the window what a desktop does, and drop a file on it."""
        self._post(
            (self._chance.choice(WINDOWS), {}), (pygame.DROPFILE, {"file": "/etc/passwd"}), (pygame.MOUSEWHEEL, {})
        )

    def press(self, *keys):
        """Press keys one after another, with a tick after each."""
        for key in keys:
            self._post((pygame.KEYDOWN, {"key": key, "mod": 0, "unicode": chr(key) if key < 128 else ""}))
            self._tick()

    def tap(self, act):
        """Touch the target that acts so, a second after whatever came before."""
        middle = next(target for target in self._parts.screen.stage.targets if target.act == act).rect.centre
        self._parts.clock.sleep(1.0)
        self.click(middle.x, middle.y)
        self._tick()

    def click(self, x: float, y: float, button: int = 1) -> None:
        """Press and let go at once."""
        values = {"button": button, "pos": (round(x), round(y))}
        self._post((pygame.MOUSEBUTTONDOWN, values), (pygame.MOUSEBUTTONUP, values))

    def rest_finger(self, x, y, seconds):
        """Keep a finger down at one place."""
        values = {"button": 1, "pos": (round(x), round(y))}
        self._post((pygame.MOUSEBUTTONDOWN, values))
        for _ in range(4):
            self._parts.clock.sleep(seconds / 4)
            self._tick()
        self._post((pygame.MOUSEBUTTONUP, values))
        self._tick()

    def _post(self, *events):
        with contextlib.suppress(pygame.error):  # the queue is full: SDL drops the event, as it does a real one
            for kind, values in events:
                pygame.event.post(pygame.event.Event(kind, **values))
