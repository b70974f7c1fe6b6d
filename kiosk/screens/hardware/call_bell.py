"""The bell: two notes when a sitter calls the attendant, repeated until somebody comes.

The screen shows the call as well, for people who do not hear it (WCAG 2.2, 1.2.1; EN 301 549, 5.1.3.1).
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from kiosk.core.view.sitter import SessionView
from kiosk.screens.hardware.sound_effect import RATE_HZ, SoundEffect

NOTES_HZ = (659.26, 523.25)
"""E5 and C5 in equal temperament at A4 = 440 Hz (ISO 16): a falling third, like a door bell's (practice). Both lie
below 1 kHz, where hearing declines least with age (ISO 7029)."""
NOTE_S, FADE_S = 0.6, 0.25
AGAIN_S = 30.0
"""The interval between two rings (practice)."""
CHANNEL = 1
"""The mixer's channel; the voice uses channel 0."""


class CallBell:
    """Rings while a sitter is waiting after a call, at a volume from 0 to `kiosk.core.view.intent.LOUDEST`."""

    def __init__(self, volume: int) -> None:
        self._rang_s: float | None = None
        self._sound = SoundEffect("bell", bell(), volume, CHANNEL)

    def ring(self, view: SessionView) -> None:
        """Ring when a call is unanswered: immediately, and then every `AGAIN_S`."""
        if not view.called:
            self._rang_s = None
            return
        if self._rang_s is None or view.now_s - self._rang_s >= AGAIN_S:
            self._rang_s = view.now_s
            self._sound.play()

    def close(self) -> None:
        """Stop the sound; a second call does nothing."""
        self._sound.close()


def bell() -> NDArray[np.int16]:
    """Return the two notes as samples at `RATE_HZ`, each with its octave, a 5 ms attack and an exponential decay."""
    time_s = np.arange(round(NOTE_S * RATE_HZ)) / RATE_HZ
    envelope = np.minimum(time_s / 0.005, 1.0) * np.exp(-time_s / FADE_S)
    notes = [
        envelope * (np.sin(2 * np.pi * note * time_s) + 0.3 * np.sin(4 * np.pi * note * time_s)) for note in NOTES_HZ
    ]
    return np.asarray(np.concatenate(notes) / 1.3 * 0.9 * 32767, dtype=np.int16)
