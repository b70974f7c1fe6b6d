"""The voice: plays the sound file of what the screen says, and is silent where there is none."""

from __future__ import annotations

import logging
from pathlib import Path

import pygame

from kiosk.core.view.sitter import LOUDEST, SessionView
from kiosk.screens.spoken import SUFFIX, spoken

CHANNEL = 0
"""Of the mixer."""

_log = logging.getLogger(__name__)


class Voice:
    """Says each instruction once, when it comes, in the sitter's language; the frame loop never waits for it.

    Without a sound card, or without the folder, nothing is said and nothing fails.

    Parameters
    ----------
    folder
        With one folder a language, and in it one file for each key of `spoken.KEYS`; None for silence.
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
        """Say what the view says, where it is new; what was being said stops."""
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
        """Fall silent; may be called twice."""
        if self._plays:
            self._plays = False
            pygame.mixer.quit()

    def _sound(self, path: Path) -> pygame.mixer.Sound | None:
        """Return a file's sound, read once; None where it is missing or damaged."""
        if path not in self._sounds:
            try:
                self._sounds[path] = pygame.mixer.Sound(path)
            except (pygame.error, FileNotFoundError) as error:
                _log.warning("the voice has no %s: %s", path.name, error)
                self._sounds[path] = None
        return self._sounds[path]
