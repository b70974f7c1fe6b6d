"""Sounds that play until they are stopped, so that a busy machine finds them playing."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from kiosk.screens.hardware.sound_effect import RATE_HZ

LASTS_S = 60


def lasting(samples: NDArray[np.int16]) -> NDArray[np.int16]:
    """Return a sound with a minute of silence after it."""
    return np.pad(samples, (0, LASTS_S * RATE_HZ))
