"""The most likely pitch, given a reading of the face."""

from __future__ import annotations

import math

PITCH_READING_SD_DEG = 2.9
"""Standard deviation of the regression's error on 336 pictures of 128 rendered people outside its fit
(`tests/bench/fit_face`): a receding forehead or a short nose looks like a nod."""

LEVEL_SD_DEG, NODDING_SD_DEG, NODDING_SHARE = 2.5, 14.0, 0.3
"""The prior: most sitters who face a lens hold their heads level, the others at any angle."""


def likely_pitch_deg(reading_deg: float) -> tuple[float, float]:
    """Return mean and standard deviation of the pitch given a reading, in degrees.

    Bayes' rule for a normal error and a prior of two normal distributions around zero has a closed form: small readings
    are halved, readings beyond 15 degrees hardly change.
    """
    parts = []
    for share, sd in ((1 - NODDING_SHARE, LEVEL_SD_DEG), (NODDING_SHARE, NODDING_SD_DEG)):
        total = math.hypot(sd, PITCH_READING_SD_DEG)
        kept = (sd / total) ** 2
        chance = share * math.exp(-0.5 * (reading_deg / total) ** 2) / total
        parts.append((chance, kept * reading_deg, kept * PITCH_READING_SD_DEG**2))
    chances = math.fsum(chance for chance, _, _ in parts)
    mean = math.fsum(chance * value for chance, value, _ in parts) / chances
    square = math.fsum(chance * (value**2 + variance) for chance, value, variance in parts) / chances
    return mean, math.sqrt(square - mean**2)
