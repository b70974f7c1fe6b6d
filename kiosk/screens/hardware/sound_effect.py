"""A short sound of the booth's own, on a channel of the mixer by itself."""

from __future__ import annotations

import logging

import numpy as np
import pygame
from numpy.typing import NDArray

from kiosk.core.view.intent import LOUDEST

RATE_HZ = 22050
_log = logging.getLogger(__name__)


class SoundEffect:
    """Plays without ever blocking the frame loop; without a sound card it is silent and does not fail.

    Parameters
    ----------
    name
        What the log calls it.
    samples
        Mono, int16, at `RATE_HZ`.
    volume
        From 0 (silent) to `kiosk.core.view.intent.LOUDEST`.
    channel
        The mixer's channel; the voice uses channel 0.
    """

    def __init__(self, name: str, samples: NDArray[np.int16], volume: int, channel: int) -> None:
        self._channel = channel
        self._sound: pygame.mixer.Sound | None = None
        if volume <= 0:
            return
        try:
            pygame.mixer.init(frequency=RATE_HZ, size=-16, channels=1)
            self._sound = pygame.mixer.Sound(buffer=samples.tobytes())
        except pygame.error as error:
            _log.warning("the %s is silent: %s", name, error)
            return
        self._sound.set_volume(volume / LOUDEST)

    def play(self) -> None:
        """Play it from the beginning."""
        if self._sound is not None:
            pygame.mixer.Channel(self._channel).play(self._sound)

    def close(self) -> None:
        """Stop it; a second call does nothing."""
        if self._sound is not None:
            self._sound = None
            pygame.mixer.quit()
