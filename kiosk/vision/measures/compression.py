"""Measure whether the blocks of JPEG compression are visible on the face."""

from __future__ import annotations

import cv2
import numpy as np
from numpy.typing import NDArray

from kiosk.core.base.measurement import Measurement
from kiosk.vision.face.face_model import FaceShape
from kiosk.vision.pictures.arrays import Rgb, luma

BLOCKS_SD = 0.15
"""Spread over the compliant rendered sitters of the tuning half, saved with JPEG quality 91."""

BLOCK = 8
"""Side of a block in px (ITU-T T.81)."""

LEAST_BLOCKS = 4
FLOOR = 0.2
"""The smallest mean difference of neighbouring pixels, in code values, used as a divisor, so that a flat face shows no
grid."""


def measure_no_compression_artifacts(rgb: Rgb, shape: FaceShape) -> Measurement:
    """Return the ratio of steps at the borders of JPEG blocks to those elsewhere on the face: 1 if invisible.

    This is the component NoCompressionArtifacts of ISO/IEC 29794-5. The mean step between neighbouring pixels is taken
    for each of the eight positions within a block; the ratio is the largest to the median, along rows or columns, of
    which the smaller counts (blockiness after Wang, Sheikh and Bovik 2002, from memory). Only the picture as taken
    shows blocks, not one that was resized after it was compressed.

    Parameters
    ----------
    rgb
        HxWx3 uint8 sRGB, not resized.
    shape
        The aligned face in px of the same picture.
    """
    points = shape.landmarks_px[:, :2]
    height, width = rgb.shape[:2]
    x0, y0 = np.clip(np.floor(points.min(axis=0)), 0, (width, height)).astype(int)
    x1, y1 = np.clip(np.ceil(points.max(axis=0)), 0, (width, height)).astype(int)
    if min(x1 - x0, y1 - y0) < LEAST_BLOCKS * BLOCK:
        return Measurement("no_compression_artifacts", None, "ratio", BLOCKS_SD)
    grey = luma(rgb[y0:y1, x0:x1])
    across, along = cv2.absdiff(grey[1:], grey[:-1]), cv2.absdiff(grey[:, 1:], grey[:, :-1])
    steps = (change.sum(axis=axis, dtype=np.uint32) / change.shape[axis] for change, axis in ((across, 1), (along, 0)))
    return Measurement("no_compression_artifacts", min(map(_peak, steps)), "ratio", BLOCKS_SD)


def _peak(steps: NDArray[np.float64]) -> float:
    """Return the largest of the eight positions' mean steps over their median."""
    phases = [max(float(steps[start::BLOCK].mean()), FLOOR) for start in range(BLOCK)]
    return max(phases) / float(np.median(phases))
