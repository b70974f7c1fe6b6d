"""The voice: it plays the sound file for what the screen says, and is silent if there is none."""

from __future__ import annotations

import logging
from pathlib import Path

import pygame

from kiosk.core.view.intent import LOUDEST
from kiosk.core.view.sitter import SessionView
from kiosk.screens.spoken import SUFFIX, spoken

CHANNEL = 0
"""The mixer's channel."""

_log = logging.getLogger(__name__)


class Voice:
    """Says each instruction once, when it appears, in the sitter's language; never blocks the frame loop.

    Without a sound card or a folder it is silent and does not fail.

    Parameters
    ----------
    folder
        A folder with a subfolder per language, which has a file for each key of `spoken.KEYS`; None for silence.
    """

    def __init__(self, folder: Path | None) -> None:
        self._folder = folder or Path()
        self._said: tuple[str, str] = ("", "")
        self._sounds: dict[Path, pygame.mixer.Sound | None] = {}
        self._plays = folder is not None
        if self._plays:
            try:
                pygame.mixer.init(frequency=22050, size=-16, channels=1)
            except pygame.error as error:
                _log.warning("the voice is silent: %s", error)
                self._plays = False

    def say(self, view: SessionView) -> None:
        """Say the view's sentence if it is new, interrupting the previous one."""
        now = (view.language, spoken(view))
        if not self._plays or (now == self._said and view.volume):
            return
        self._said = now if view.volume else ("", "")
        pygame.mixer.Channel(CHANNEL).stop()
        sound = self._sound(self._folder / now[0] / f"{now[1]}{SUFFIX}") if view.volume and now[1] else None
        if sound is not None:
            sound.set_volume(view.volume / LOUDEST)
            pygame.mixer.Channel(CHANNEL).play(sound)

    def close(self) -> None:
        """Stop the voice; a second call does nothing."""
        if self._plays:
            self._plays = False
            pygame.mixer.quit()

    def _sound(self, path: Path) -> pygame.mixer.Sound | None:
        """Return the sound of a file, cached; None if it is missing or damaged."""
        if path not in self._sounds:
            try:
                self._sounds[path] = pygame.mixer.Sound(path)
            except (pygame.error, FileNotFoundError) as error:
                _log.warning("the voice has no %s: %s", path.name, error)
                self._sounds[path] = None
        return self._sounds[path]
