"""Touches and keys: raw events in, gestures out.

A touch counts when it is released where it began, with one finger at a time. Unintended events are dropped: a drag, a
second finger, a release without a press, the mouse event that some drivers send along with a touch, and the second tap
of a double tap, which would hit whatever the first one brought up.

A finger held long enough makes a long press instead of a tap, reported while it is still down.
"""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass

import pygame

DRAG = 0.055
"""The largest distance from press to release of a tap, as a fraction of the screen's short side: 60 of 1080 px."""
DOUBLE_TAP_S = 0.35
ECHO_S = 0.5
"""The time after a touch within which a mouse event counts as its echo."""
HELD_S = 5.0
"""How long a finger that is down blocks others: on an unplugged screen, or with a bag against the glass, it never
lifts."""

HOLD_S = 3.0
"""The duration of a long press: longer than anybody touches by accident (practice)."""

DESK_KEY = pygame.K_F9
"""The key on a staff keyboard that opens the attendant's desk."""
FORWARD_KEYS = frozenset({pygame.K_TAB, pygame.K_RIGHT, pygame.K_DOWN})
BACKWARD_KEYS = frozenset({pygame.K_LEFT, pygame.K_UP})
PRESS_KEYS = frozenset({pygame.K_RETURN, pygame.K_KP_ENTER, pygame.K_SPACE})


@dataclass(frozen=True, slots=True)
class Tap:
    """A touch or click, in pixels of the screen."""

    x: float
    y: float


@dataclass(frozen=True, slots=True)
class MoveFocus:
    """Move the focus to the next target, or back by negative steps."""

    steps: int


@dataclass(frozen=True, slots=True)
class Press:
    """The key that activates the focused target; `is_space` marks the space bar, which types where text is taken."""

    is_space: bool = False


@dataclass(frozen=True, slots=True)
class LongPress:
    """A finger held in one place, in pixels of the screen."""

    x: float
    y: float


@dataclass(frozen=True, slots=True)
class Typed:
    """A typed letter or digit, or one of the keys `erase`, `leave` and `desk`."""

    key: str


Gesture = Tap | MoveFocus | Press | LongPress | Typed


class Input:
    """Recognises gestures in events, for a screen of `size` pixels.

    Attributes
    ----------
    closed
        Whether the window was closed from outside.
    """

    def __init__(self, size: tuple[int, int]) -> None:
        self.closed = False
        self._size = size
        self._drag_px = DRAG * min(size)
        self._down: dict[int, Tap] = {}
        self._down_s: dict[int, float] = {}
        self._spoilt = False
        self._touched_s = -math.inf
        self._tapped_s = -math.inf

    def read(self, events: Iterable[pygame.Event], now_s: float) -> list[Gesture]:
        """Return the gestures that are complete at `now_s` (monotonic seconds)."""
        gestures = []
        for event in events:
            gesture = self._gesture(event, now_s)
            if gesture is not None:
                gestures.append(gesture)
        for finger, rests in self._down.items():
            if not self._spoilt and HOLD_S <= now_s - self._down_s[finger] < HELD_S:
                self._spoilt = True
                gestures.append(LongPress(rests.x, rests.y))
        return gestures

    def forget(self) -> None:
        """Drop touches in progress, because the screen they were meant for is gone."""
        self._spoilt = bool(self._down)

    def _gesture(self, event: pygame.Event, now_s: float) -> Gesture | None:
        if event.type == pygame.QUIT:
            self.closed = True
        elif event.type in (pygame.FINGERDOWN, pygame.FINGERUP, pygame.FINGERMOTION):
            self._touched_s = now_s
            at = Tap(event.x * self._size[0], event.y * self._size[1])
            return self._contact(event.type, event.finger_id, at, now_s)
        elif event.type in (pygame.MOUSEBUTTONDOWN, pygame.MOUSEBUTTONUP):
            if event.button == pygame.BUTTON_LEFT and now_s - self._touched_s > ECHO_S:
                return self._contact(event.type, -1, Tap(*map(float, event.pos)), now_s)
        elif event.type == pygame.KEYDOWN:
            return _key(event)
        elif event.type == pygame.TEXTINPUT and _is_letter(event.text):
            return Typed(event.text)
        return None

    def _contact(self, kind: int, finger: int, at: Tap, now_s: float) -> Tap | None:
        if kind in (pygame.FINGERDOWN, pygame.MOUSEBUTTONDOWN):
            self._down = {other: began for other, began in self._down.items() if now_s - self._down_s[other] < HELD_S}
            self._spoilt = bool(self._down.keys() - {finger})
            self._down[finger], self._down_s[finger] = at, now_s
            return None
        if kind == pygame.FINGERMOTION or finger not in self._down:
            return None
        began, spoilt = self._down.pop(finger), self._spoilt
        if not self._down:
            self._spoilt = False
        if spoilt or math.hypot(at.x - began.x, at.y - began.y) > self._drag_px:
            return None
        if now_s - self._tapped_s < DOUBLE_TAP_S:
            return None
        self._tapped_s = now_s
        return began


_TYPED = {pygame.K_BACKSPACE: "erase", pygame.K_ESCAPE: "leave", DESK_KEY: "desk"}


def _key(event: pygame.Event) -> Gesture | None:
    if event.key in PRESS_KEYS:
        return Press(is_space=event.key == pygame.K_SPACE)
    if event.key in _TYPED:
        return Typed(_TYPED[event.key])
    if event.unicode.isascii() and event.unicode.isdecimal():
        return Typed(event.unicode)
    backward = event.key in BACKWARD_KEYS or (event.key == pygame.K_TAB and event.mod & pygame.KMOD_SHIFT)
    if backward:
        return MoveFocus(-1)
    return MoveFocus(1) if event.key in FORWARD_KEYS else None


def _is_letter(text: str) -> bool:
    """Return whether a text event types a letter; spaces and ASCII digits are handled as key events."""
    return bool(text) and text.isprintable() and not text.isspace() and not (text.isascii() and text.isdecimal())
