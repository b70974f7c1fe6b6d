"""The simulated sitter's hand: finds the button on the screen and taps it, as a finger would."""

from __future__ import annotations

import pygame

from kiosk.core.view.intent import Intent
from kiosk.core.view.sitter import SessionView
from kiosk.screens.touch_screen import TouchScreen

ADULT = "6"
"""The age from which the demo's document asks what it asks of adults."""
READING_S = 2.0
"""How long the sitter looks at a screen before tapping."""


class Hand:
    """Taps through a session once.

    Parameters
    ----------
    screen
        The screen to tap on.
    document_id
        What to choose.
    """

    def __init__(self, screen: TouchScreen, document_id: str) -> None:
        self._screen = screen
        self._wishes = {
            "welcome": Intent("start"),
            "choose": Intent("choose", document_id),
            "prepare": Intent("ready", ADULT),
            "privacy": Intent("agree"),
            "review": Intent("accept"),
            "copies": Intent("print"),
            "collect": Intent("done"),
            "thanks": Intent("done"),
        }
        self._tapped = ""

    def act(self, view: SessionView) -> None:
        """Tap what is wished for on this screen, once it has been read."""
        wish = self._wishes.get(view.state)
        if view.state == "review" and view.review.verdict == "fail":
            wish = Intent("retake")
        if wish is None:
            self._tapped = ""
        if view.state == self._tapped or wish is None or view.now_s - view.since_s < READING_S:
            return
        for target in self._screen.stage.targets:
            if target.act == wish:
                self._tapped = view.state
                _tap(target.rect.centre.x, target.rect.centre.y)


def _tap(x: float, y: float) -> None:
    for kind in (pygame.MOUSEBUTTONDOWN, pygame.MOUSEBUTTONUP):
        pygame.event.post(pygame.event.Event(kind, button=pygame.BUTTON_LEFT, pos=(round(x), round(y))))
