"""Hands and keys: raw events in, gestures out.

A touch counts when it is released where it began, one finger at a time. What is not meant is dropped: a drag, a second
finger, a release that never began, the mouse event that some drivers send beside a touch, and the second tap of a
double one, which would hit whatever the first one brought.

A finger that rests long enough is no tap but a hold, and tells where it rests while it still does.
"""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass

import pygame

DRAG = 0.055
"""Most way from press to release that is still a tap, in short sides of the screen: 60 of 1080 px."""
DOUBLE_TAP_S = 0.35
ECHO_S = 0.5
"""How long after a touch a mouse event is taken for its echo."""
HELD_S = 5.0
"""How long a finger keeps others from counting: one on an unplugged screen, or a bag on the glass, never lifts."""

HOLD_S = 3.0
"""How long a finger rests for a hold: longer than anybody does without meaning it (practice)."""

DESK_KEY = pygame.K_F9
"""Asks for the attendant's desk on a staff keyboard."""
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
    """To the next target, or back."""

    steps: int


@dataclass(frozen=True, slots=True)
class Press:
    """The key that means the target in focus; where words are typed, `is_space` is one of them."""

    is_space: bool = False


@dataclass(frozen=True, slots=True)
class LongPress:
    """A finger that rests, in pixels of the screen."""

    x: float
    y: float


@dataclass(frozen=True, slots=True)
class Typed:
    """A key that types: a letter or digit, or `erase`, `leave` and `desk` by name."""

    key: str


Gesture = Tap | MoveFocus | Press | LongPress | Typed


class Input:
    """Tells gestures from events, for a screen of `size` pixels.

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
        """Return the gestures that `events` complete at `now_s` (monotonic seconds)."""
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
        """Drop what was begun: the screen it was meant for has gone."""
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
    """Return whether a text came from a key that types words: spaces and ASCII digits are told of as keys."""
    return bool(text) and text.isprintable() and not text.isspace() and not (text.isascii() and text.isdecimal())
