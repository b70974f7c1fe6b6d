"""Measure whether the photo is in colour, rather than grey or toned."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from kiosk.core.base.measurement import Measurement
from kiosk.vision.face.face_model import FaceShape
from kiosk.vision.face.face_patch import face_patch
from kiosk.vision.pictures.arrays import Rgb, lab, lengths

IN_COLOUR_SD = 0.1
"""Standard deviation that JPEG quality 80 adds to faces without colour, beside the blocks of small pictures."""

UNIT_PX = 30
"""Outer-eye-corner distance in px at which colour is evaluated: a camera's coloured grain has vanished."""

SHADES = 40
"""The number of shades, with equal numbers of pixels, into which a face is divided."""


def measure_in_colour(rgb: Rgb, shape: FaceShape) -> Measurement:
    """Return how much the face's colours differ at equal lightness, as a distance in a*b*, 0 or more.

    In a toned picture, grey or sepia, lightness determines the colour: places that are equally light have the same a*
    and b*. Skin, lips, eyes and hair in a colour picture do not. Within each shade the median distance from its
    median colour is taken, and over all shades the mean. ISO/IEC 29794-5 has no component for it.
    """
    patch = face_patch(rgb, shape, UNIT_PX)
    if patch is None:
        return Measurement("in_colour", None, "a*b*", IN_COLOUR_SD)
    colours = lab(patch.rgb).reshape(-1, 3)
    sorted_ab = colours[np.argsort(colours[:, 0], kind="stable"), 1:]
    each, more = divmod(len(sorted_ab), SHADES)
    longer = more * (each + 1)
    shades = sorted_ab[:longer].reshape(more, each + 1, 2), sorted_ab[longer:].reshape(-1, max(each, 1), 2)
    apart = np.concatenate([_spreads(part) for part in shades])
    return Measurement("in_colour", float(np.mean(apart)), "a*b*", IN_COLOUR_SD)


def _spreads(shades: NDArray[np.float32]) -> NDArray[np.float32]:
    """Return the median distance from the median colour of each shade, of colours (shades, pixels, 2)."""
    return np.asarray(np.median(lengths(shades - np.median(shades, axis=1, keepdims=True)), axis=1))
