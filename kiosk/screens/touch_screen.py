"""The sitter's side of the booth: a window, the stage on it, and a finger."""

from __future__ import annotations

from kiosk.core.view.attendant import DeskIntent
from kiosk.core.view.intent import Intent
from kiosk.core.view.sitter import SessionView
from kiosk.i18n import Words
from kiosk.screens.hardware.call_bell import CallBell
from kiosk.screens.hardware.display import Display
from kiosk.screens.hardware.headphone_jack import HeadphoneJack
from kiosk.screens.hardware.input import Gesture, Input, LongPress, MoveFocus, Press, Tap, Typed
from kiosk.screens.hardware.shutter_sound import ShutterSound
from kiosk.screens.hardware.voice import Voice
from kiosk.screens.stage import Stage
from kiosk.screens.toolkit.scene import ScenePicture
from kiosk.screens.toolkit.shop import Logo


class TouchScreen:
    """Shows views and returns intents; not thread-safe, for the frame loop only.

    Attributes
    ----------
    stage
        Draws the views and knows the touch targets.
    shown
        The picture presented last, as BGRA; None before the first.
    """

    def __init__(
        self,
        display: Display,
        words: Words,
        voice: Voice | None = None,
        call_bell: CallBell | None = None,
        shutter: ShutterSound | None = None,
        logo: Logo | None = None,
        jack: HeadphoneJack | None = None,
    ) -> None:
        self._display = display
        self._voice = voice
        self._chime = call_bell
        self._shutter = shutter
        self._jack = jack
        self.stage = Stage(display.size, words, logo)
        self.shown: ScenePicture | None = None
        self._input = Input(display.size)
        self._view = SessionView()

    @property
    def closed(self) -> bool:
        """Whether the window was closed from outside."""
        return self._input.closed

    def intents(self) -> list[Intent | DeskIntent]:
        """Return the intents of the sitter, or the orders of the attendant at the desk, since the last call."""
        gestures = self._input.read(self._display.events(), self._view.now_s)
        wanted = [self._plugged(), *(self._act(gesture) for gesture in gestures)]
        return [intent for intent in wanted if intent is not None]

    def show(self, view: SessionView, picture: ScenePicture | None) -> None:
        """Draw and present a view; the camera picture is RGB and not mirrored."""
        before = self.stage.targets
        self.shown = self.stage.draw(view, picture)
        if self.stage.targets != before:
            self._input.forget()
        self._view = view
        self._display.present(self.shown, self.stage.changed)
        if self._voice is not None:
            self._voice.say(view)
        if self._chime is not None:
            self._chime.ring(view)
        if self._shutter is not None:
            self._shutter.follow(view)

    def close(self) -> None:
        """Close the window."""
        self._display.close()
        if self._voice is not None:
            self._voice.close()
        if self._chime is not None:
            self._chime.close()
        if self._shutter is not None:
            self._shutter.close()
        if self._jack is not None:
            self._jack.close()

    def _plugged(self) -> Intent | None:
        """Return that headphones have been plugged in or pulled out since the last view."""
        is_in = self._jack is not None and self._jack.is_in(self._view.now_s)
        return None if is_in == self._view.headphones else Intent("headphones", "in" if is_in else "out")

    def _first_press(self) -> Intent | None:
        """Turn on one-switch use when a switch is pressed while nothing has the focus."""
        at_desk = self._view.desk is not None
        return None if at_desk or self._view.ease.one_switch else Intent("ease", "one_switch")

    def _act(self, gesture: Gesture) -> Intent | DeskIntent | None:
        match gesture:
            case Tap(x, y):
                return self.stage.intent_at(x, y)
            case MoveFocus(steps):
                self.stage.move_focus(steps)
                return Intent("more_time")
            case Press(True) if self.stage.takes_words:
                return DeskIntent("letter", " ")
            case Press():
                return self.stage.press_focus() or self._first_press()
            case LongPress(x, y):
                return self.stage.desk_at(x, y)
            case Typed(key):
                return self.stage.typed(key)
