"""Which way the head is turned: yaw, pitch and roll.

Angles are those of the head against the line of sight to it, because that is what a picture shows: a sitter beside the
optical axis who looks into the lens reads zero. They come from the three-dimensional mesh, not from the perspective of
its projection, so no focal length is needed.
"""

from __future__ import annotations

import math

from kiosk.core.measurement import Measurement
from kiosk.vision.face_model import Shape

YAW_SD_DEG, ROLL_SD_DEG = 0.7, 0.3
YAW_SD_PER_DEG, ROLL_SD_PER_DEG = 0.06, 0.017
"""Of heads turned and nodded by less than 12 degrees, from identities the fit has not seen (336 pictures of 128
rendered people, `tests/bench/fit_face`), and what each degree of yaw adds: 1.9 and 0.56 degrees at 28."""

ROLL_SD_HIDDEN_DEG = 1.6
"""Of the roll, for eyes hidden altogether (`eye_cover.hidden_share`): a fringe or glare draws their corners away by up
to 1.4 degrees in the tuning half."""

PITCH_READING_SD_DEG = 2.9
"""The regression's own error on the same: a receding forehead or a short nose looks like a nod."""

LEVEL_SD_DEG, NODDING_SD_DEG, NODDING_SHARE = 2.5, 14.0, 0.3
"""What is known before looking: most sitters who face a lens hold their heads level; the others nod by anything."""


def measure_yaw(shape: Shape) -> Measurement:
    """Return the yaw in degrees, about -45 to 45, positive with the nose to the right of the unmirrored picture.

    ISO/IEC 19794-5:2011, 7.2.2 (quoted) limits it to 5 degrees either way.
    """
    value = shape.raw_deg[0] + shape.told["yaw"]
    return Measurement("yaw", value, "deg", math.hypot(YAW_SD_DEG, YAW_SD_PER_DEG * value))


def measure_pitch(shape: Shape) -> Measurement:
    """Return the pitch in degrees, about -30 to 30, positive with the nose up.

    ISO/IEC 19794-5:2011, 7.2.2 (quoted) limits it to 5 degrees either way. Zero is the rest pose of the heads the fit
    was made on. The reading is weighed against what is known of sitters, see `likely_pitch_deg`; the uncertainty is
    largest around 8 degrees, where a nod and an unusual face look the same.
    """
    value, sd = likely_pitch_deg(shape.raw_deg[1] + shape.told["pitch"])
    return Measurement("pitch", value, "deg", sd)


def measure_roll(shape: Shape, hidden: float = 0.0) -> Measurement:
    """Return the roll in degrees, -180 to 180, positive with the crown leaning to the right of the picture.

    ISO/IEC 19794-5:2011, 7.2.2 (quoted) limits it to 8 degrees either way and recommends 5.

    Parameters
    ----------
    shape
        The aligned face.
    hidden
        How much of the eyes is hidden, from `eye_cover.hidden_share`.
    """
    turned = ROLL_SD_PER_DEG * (shape.raw_deg[0] + shape.told["yaw"])
    uncertainty = math.hypot(ROLL_SD_DEG, turned, ROLL_SD_HIDDEN_DEG * hidden)
    return Measurement("roll", shape.raw_deg[2] + shape.told["roll"], "deg", uncertainty)


def likely_pitch_deg(reading_deg: float) -> tuple[float, float]:
    """Return mean and standard deviation of the pitch given a reading of it, degrees.

    Bayes' rule for a normal error and a prior of two normal distributions around zero, in closed form: small readings
    shrink to half, readings beyond 15 degrees stay.
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
