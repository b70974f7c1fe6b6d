"""Whether the photo is in colour: neither grey, nor toned with one colour or two."""

from __future__ import annotations

import numpy as np

from kiosk.core.base.measurement import Measurement
from kiosk.vision.face.face_model import FaceShape
from kiosk.vision.face.face_patch import face_patch
from kiosk.vision.pictures.arrays import Rgb, lab

IN_COLOUR_SD = 0.1
"""What a JPEG quality of 80 adds to faces without colour, beside the blocks of small pictures."""

UNIT_PX = 30
"""Outer-eye-corner distance, in px, at which colour is looked at: a camera's coloured grain has vanished."""

SHADES = 40
"""How many shades of equal numbers of pixels a face is parted into."""


def measure_in_colour(rgb: Rgb, shape: FaceShape) -> Measurement:
    """Return how much the face's colours differ among places of the same lightness, a*b* distance, 0 or more.

    In a toned picture, grey or sepia, lightness alone says the colour: places that are equally light have the same a*
    and b*. Skin, lips, eyes and hair of a colour picture have not. Within each shade the median distance from its
    median colour is taken, and of all shades the mean. ISO/IEC 29794-5 has no component for it.
    """
    patch = face_patch(rgb, shape, UNIT_PX)
    if patch is None:
        return Measurement("in_colour", None, "a*b*", IN_COLOUR_SD)
    colours = lab(patch.rgb).reshape(-1, 3)
    sorted_ab = colours[np.argsort(colours[:, 0], kind="stable"), 1:]
    shades = (part for part in np.array_split(sorted_ab, SHADES) if len(part))
    apart = [np.median(np.linalg.norm(part - np.median(part, axis=0), axis=1)) for part in shades]
    return Measurement("in_colour", float(np.mean(apart)), "a*b*", IN_COLOUR_SD)
