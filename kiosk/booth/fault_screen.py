"""The sitter's screen of a booth that cannot be opened."""

from __future__ import annotations

from collections.abc import Callable

from kiosk.core.view.sitter import SessionView
from kiosk.errors import KioskError, NoDisplay
from kiosk.i18n import SOURCE_TAG, Words
from kiosk.screens.hardware.display import Display
from kiosk.screens.touch_screen import TouchScreen
from kiosk.system.clock import Clock
from kiosk.system.systemd import make_heartbeat

FAULT_SHOWN_S = 30.0
"""How long a booth that cannot be opened says why, before it ends and is started again."""
SPARE_PX = (1080, 1920)
"""Fallback canvas size, in pixels, when no display can be opened."""


def show_fault(error: KioskError, go_on: Callable[[], bool], clock: Clock, *, headless: bool = False) -> None:
    """Say on the sitter's screen, for half a minute, why the booth cannot be opened; nothing where there is no screen.

    Parameters
    ----------
    error
        What keeps it shut.
    go_on
        Whether to go on.
    """
    try:
        display = Display(SPARE_PX) if headless else Display()
    except NoDisplay:
        return
    screen, heartbeat, end_s = (
        TouchScreen(display, Words.load(SOURCE_TAG)),
        make_heartbeat(clock),
        clock.now_s() + FAULT_SHOWN_S,
    )
    view = SessionView(state="out_of_order", fault=(str(error), error.advice))
    while go_on() and clock.now_s() < end_s:
        screen.intents()
        screen.show(view, None)
        heartbeat.beat(view.state)
        clock.sleep(0.1)
    display.close()
