"""The shutter's sound: two soft clicks at the shot, so that the sitter knows when to relax."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from kiosk.core.view.sitter import SessionView
from kiosk.screens.hardware.sound_effect import RATE_HZ, SoundEffect

CLICKS_S = (0.0, 0.09)
"""When the curtain opens and closes (practice)."""
CLICK_S, FADE_S = 0.06, 0.012
LOWPASS = 6
"""How many neighbouring samples are averaged, so that the noise is soft: nothing above 3.7 kHz."""
CHANNEL = 2
"""The mixer's channel; the voice and the bell use 0 and 1."""


class ShutterSound:
    """Plays once when a shot is taken, at a volume from 0 to `kiosk.core.view.intent.LOUDEST`."""

    def __init__(self, volume: int) -> None:
        self._is_taken = False
        self._sound = SoundEffect("shutter", clicks(), volume, CHANNEL)

    def follow(self, view: SessionView) -> None:
        """Play as a shot begins."""
        began = view.state == "shooting" and not self._is_taken
        self._is_taken = view.state == "shooting"
        if began:
            self._sound.play()

    def close(self) -> None:
        """Stop the sound; a second call does nothing."""
        self._sound.close()


def clicks() -> NDArray[np.int16]:
    """Return the clicks as samples at `RATE_HZ`: averaged noise with an exponential decay, the same every time."""
    samples = np.zeros(round((CLICKS_S[-1] + CLICK_S) * RATE_HZ))
    time_s = np.arange(round(CLICK_S * RATE_HZ)) / RATE_HZ
    noise = np.convolve(np.random.default_rng(0).uniform(-1, 1, len(time_s)), np.ones(LOWPASS) / LOWPASS, "same")
    for begins_s in CLICKS_S:
        begins = round(begins_s * RATE_HZ)
        samples[begins : begins + len(time_s)] += noise * np.exp(-time_s / FADE_S)
    return np.asarray(samples / np.abs(samples).max() * 0.6 * 32767, dtype=np.int16)
