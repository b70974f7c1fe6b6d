"""Measure the visible noise of the camera on the face."""

from __future__ import annotations

import math

import cv2
import numpy as np
from numpy.typing import NDArray

from kiosk.core.base.measurement import Measurement
from kiosk.vision.face.face_model import FaceShape
from kiosk.vision.face.face_patch import face_patch, skin
from kiosk.vision.pictures.arrays import Rgb

NOISE_SD = 0.1
"""Twice the spread over compliant people, photographed (51, with the same light and camera) and rendered."""

UNIT_PX = 400
"""Outer-eye-corner distance in px to which larger pictures are reduced: a head of 34 mm at about 700 pixels
per inch. Finer grain is averaged away on any print."""

CELL, LEAST_CELL_PX, LEAST_CELLS = 0.08, 6, 5
"""Side of the cells that skin is parted into, in that distance and at least in px, and how many it takes."""

SMOOTHEST = 10
"""The percentile of the cells: noise is the same everywhere, unlike pores, wrinkles, beards and JPEG blocks."""

FULL = 0.9
"""The fraction of a cell that must be skin."""

MASK = np.array(((1, -2, 1), (-2, 4, -2), (1, -2, 1)), np.float32)
"""Difference of two Laplacians, which lets edges and gradients pass unseen (Immerkær 1996, from memory); it makes noise
six times larger."""

GAIN = 6.0

RED, GREEN, BLUE = 0.299, 0.587, 0.114


def measure_noise(rgb: Rgb, shape: FaceShape) -> Measurement:
    """Return the standard deviation of luma noise where the skin is smoothest, in code values of 255.

    ISO/IEC 29794-5 has no such component; a noisy face fails the texture requirement of ANSI/NIST-ITL Annex E,
    E.3.6 (quoted). Strong JPEG compression erases noise: see `measure_no_compression_artifacts`.
    """
    patch = face_patch(rgb, shape, UNIT_PX)
    area = None if patch is None else skin(patch)
    if patch is None or area is None or not area.any():
        return Measurement("noise", None, "code", NOISE_SD)
    grey = patch.rgb.astype(np.float32) @ np.array((RED, GREEN, BLUE), np.float32)
    squares = (cv2.filter2D(grey, -1, MASK) / GAIN) ** 2
    side = max(LEAST_CELL_PX, round(CELL * patch.unit_px))
    cells = _means(squares, side)[_means(area.astype(np.float32), side) > FULL]
    if len(cells) < LEAST_CELLS:
        return Measurement("noise", None, "code", NOISE_SD)
    return Measurement("noise", math.sqrt(float(np.percentile(cells, SMOOTHEST))), "code", NOISE_SD)


def _means(values: NDArray[np.float32], side: int) -> NDArray[np.float32]:
    """Return the means over square cells of that side; incomplete cells are dropped."""
    rows, columns = (length // side for length in values.shape)
    whole = values[: rows * side, : columns * side]
    return np.asarray(whole.reshape(rows, side, columns, side).mean(axis=(1, 3)), np.float32)
