"""The probability that the top of the head is bare scalp, or shaven so closely that its outline is the crown.

On a bald head, forehead and scalp merge without a hairline. A shaven one may show a hairline of stubble, but its top
is about as light as the forehead, like only bare scalp and fair hair, and its outline is smooth and rounds off early,
unlike that of fair hair.
"""

from __future__ import annotations

import numpy as np

from kiosk.vision.face.face_model import Array, FaceShape
from kiosk.vision.pictures.arrays import Lab, Rgb, lab, lengths, sampled

STEP, FINE_STEP = 0.02, 0.005
"""Sampling step on the head and at its outline, in face units (the outer-eye-corner distance)."""

FOREHEAD, FOREHEAD_TO = 0.35, 0.5
"""Heights of the forehead above the eyes."""

HAIRLINE_DL, HAIRLINE_DC, SCALP_DC = (10.0, 1.0), (4.2, 0.5), (12.5, 1.0)
"""The limits at which a step in lightness or in chroma from the forehead upwards, or the difference in chroma between
forehead and top, is as likely hair as bare scalp, and the width of the transition: from rendered heads, bald and
not."""

ARC, ARC_DOWN, ARC_UP, EMPTY = 0.35, 0.45, 0.2, 0.1
"""How far the outline is followed to each side of the axis, how far below and above its top it is searched for, and the
height of the uppermost part with which it is compared, in face units."""

SHOWS_SHARE, SHOWS_DE, SHOWS_GRAIN = 0.3, 5.0, 1.5
"""A place belongs to the head if it differs from the backdrop by this fraction of the head's own difference, by at
least this, and by this multiple of the backdrop's grain."""

KNOWN_SHARE, KEPT_SHARE = 0.8, 0.9
"""The fraction of the arc in which the outline must be found, and the fraction of its places, the smoothest, that
count."""

ROUGH, DARKER_DL, OTHER_DC, BULGE = (0.0045, 0.0005), (12.0, 2.0), (16.0, 1.0), (0.08, 0.02)
"""Roughness of the outline, darkness and difference in chroma of the top against the forehead, and bulge, at which a
head is as likely shaven as not, and the widths of the transitions. Five people with bald, shaven or closely cropped
heads before a plain backdrop reach 0.0045, 3, 13 and 0.03; cut hair of any colour exceeds one of the limits."""


def bareness(rgb: Rgb, shape: FaceShape, top: float, bulge: float) -> float:
    """Return the probability from 0 to 1 that the top is bare or counts as bare.

    Parameters
    ----------
    rgb
        HxWx3 uint8 sRGB.
    shape
        The aligned face.
    top
        Height of the person mask, face units.
    bulge
        The outline's bulge, as in `hair.Hair`.
    """
    y = np.arange(FOREHEAD, top - 0.05, STEP)
    if len(y) < 8:
        return 0.0
    colours = _looked_at(rgb, shape, np.arange(-0.2, 0.21, STEP), y)
    return max(_without_hairline(np.median(colours, axis=1)), _shaven(rgb, shape, top, bulge))


def _without_hairline(midline: Lab) -> float:
    """Return the probability that forehead and scalp merge without a hairline, from the colours along the midline."""
    step = np.abs(midline[4:] - midline[:-4]).max(axis=0)
    change = float(np.linalg.norm(midline[-3:, 1:].mean(axis=0) - midline[:5, 1:].mean(axis=0)))
    found = ((float(step[0]), HAIRLINE_DL), (float(step[1:].max()), HAIRLINE_DC), (change, SCALP_DC))
    return _all_below(found)


def _shaven(rgb: Rgb, shape: FaceShape, top: float, bulge: float) -> float:
    across = np.arange(-0.3, 0.31, STEP)
    forehead = _looked_at(rgb, shape, across, np.arange(FOREHEAD, FOREHEAD_TO, STEP))
    scalp = _looked_at(rgb, shape, across, np.arange(top - 0.32, top - 0.1, STEP))
    change = np.median(forehead, axis=(0, 1)) - np.median(scalp, axis=(0, 1))
    darker, other = float(change[0]), float(np.linalg.norm(change[1:]))
    return _all_below(
        ((roughness(rgb, shape, top), ROUGH), (darker, DARKER_DL), (other, OTHER_DC), (bulge, BULGE)),
    )


def roughness(rgb: Rgb, shape: FaceShape, top: float) -> float:
    """Return the outline's deviation from a smooth curve in face units; infinite if the outline is not found."""
    x, y = np.arange(-ARC, ARC + 0.005, 0.01), np.arange(top + ARC_UP, top - ARC_DOWN, -FINE_STEP)
    colours = _looked_at(rgb, shape, x, y)
    empty = round(EMPTY / FINE_STEP)
    away = lengths(colours - np.median(colours[:empty], axis=0))
    own, grain = float(np.median(away[-2 * empty :])), float(np.percentile(away[:empty], 95))
    head = away > max(SHOWS_SHARE * own, SHOWS_DE, SHOWS_GRAIN * grain)
    known = head.any(axis=0)
    if known.mean() < KNOWN_SHARE:
        return float("inf")
    at, edge = x[known], y[head.argmax(axis=0)][known]
    strays = np.sort((edge - np.polyval(np.polyfit(at, edge, 3), at)) ** 2)
    return float(np.sqrt(strays[: int(KEPT_SHARE * len(strays))].mean()))


def _looked_at(rgb: Rgb, shape: FaceShape, x: Array, y: Array) -> Lab:
    return lab(sampled(rgb, shape.to_picture(np.stack(np.meshgrid(x, y), axis=-1))))


def _all_below(found: tuple[tuple[float, tuple[float, float]], ...]) -> float:
    """Return the probability that all values lie below their limits, each with a transition of its own width."""
    return float(np.prod([1 / (1 + np.exp(np.clip((value - at) / width, -50, 50))) for value, (at, width) in found]))
