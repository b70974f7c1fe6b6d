"""The sitter's side of a booth: its window, its sounds, and its headphone jack."""

from __future__ import annotations

import contextlib
import logging
import os
from collections.abc import Iterator

from kiosk.core.session.booth_config import BoothConfig
from kiosk.i18n import Words
from kiosk.screens.hardware.call_bell import CallBell
from kiosk.screens.hardware.display import Display
from kiosk.screens.hardware.headphone_jack import HeadphoneJack
from kiosk.screens.hardware.shutter_sound import ShutterSound
from kiosk.screens.hardware.voice import Voice
from kiosk.screens.toolkit.shop import Logo
from kiosk.screens.touch_screen import TouchScreen
from kiosk.settings import Settings
from kiosk.settings.logo import read_logo

_log = logging.getLogger(__name__)


@contextlib.contextmanager
def make_screen(settings: Settings, config: BoothConfig, *, headless: bool) -> Iterator[TouchScreen]:
    """Open the sitter's side of the booth: its window, sounds and headphone jack.

    Raises
    ------
    NoDisplay
        No screen could be opened.
    SettingsRefused
        The logo cannot be shown.
    """
    with contextlib.ExitStack() as closing:
        display = make_display(settings, headless=headless)
        closing.callback(display.close)
        voice = make_voice(settings)
        closing.callback(voice.close)
        call_bell = CallBell(settings.sound.call_volume if config.attended else 0)
        closing.callback(call_bell.close)
        shutter = ShutterSound(settings.sound.shutter_volume)
        closing.callback(shutter.close)
        jack = make_jack(settings)
        if jack is not None:
            closing.callback(jack.close)
        logo = Logo.decoded(read_logo(settings))
        yield TouchScreen(display, Words.load(config.languages[0]), voice, call_bell, shutter, logo, jack)


def make_display(settings: Settings, *, headless: bool) -> Display:
    """Open the sitter's screen, or draw for nobody."""
    if headless:
        os.environ["SDL_VIDEODRIVER"] = "dummy"
    return Display(None if settings.screen.fullscreen and not headless else settings.screen.size_px)


def make_jack(settings: Settings) -> HeadphoneJack | None:
    """Return the headphone jack; None where the booth cannot speak, or the settings want none."""
    device = settings.sound.headphone_jack
    if settings.voice_folder is None or device == "none":
        return None
    return HeadphoneJack(None if device == "auto" else settings.path(device))


def make_voice(settings: Settings) -> Voice:
    """Return the voice, which is silent where the settings name no folder."""
    return Voice(settings.voice_folder)
