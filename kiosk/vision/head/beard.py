"""The probability that a beard covers the chin."""

from __future__ import annotations

import numpy as np

from kiosk.vision.face.face_model import Array, FaceShape
from kiosk.vision.pictures.arrays import Rgb, lab, sampled

CHEEKS = (50, 280)
INWARDS, HALF, STEP = 0.8, 0.06, 0.02
"""Landmarks of the cheekbones; how far towards them from the axis skin is sampled; half the side of each sample area
and its sampling step, in face units."""

PALE_DC, PALE_WIDTH = 5.0, 0.5
DARK_DL, DARK_WIDTH = 13.0, 1.0
"""Differences between cheek and chin, in chroma and in lightness, at which a beard is as likely as skin or shade, and
the widths of the transitions: from rendered faces, whose bare chins differ by up to 4.1 and 12."""


def bearded(rgb: Rgb, shape: FaceShape, chin: Array) -> float:
    """Return the probability from 0 to 1 that a beard covers the chin.

    Parameters
    ----------
    rgb
        HxWx3 uint8 sRGB.
    shape
        The aligned face.
    chin
        L*a*b* of the area between the lips and the chin's edge, (3,).
    """
    offsets = np.stack(np.meshgrid(*2 * (np.arange(-HALF, HALF + STEP / 2, STEP),)), axis=-1)
    middles = shape.to_upright(shape.landmarks_px[CHEEKS, :2]) * (INWARDS, 1.0)
    patches = [lab(sampled(rgb, shape.to_picture(middle + offsets))) for middle in middles]
    cheek = np.mean([np.median(patch, axis=(0, 1)) for patch in patches], axis=0)
    pale = (float(np.linalg.norm((chin - cheek)[1:])) - PALE_DC) / PALE_WIDTH
    dark = (float(cheek[0] - chin[0]) - DARK_DL) / DARK_WIDTH
    return float(1.0 / (1.0 + np.exp(-np.clip(max(pale, dark), -50.0, 50.0))))
