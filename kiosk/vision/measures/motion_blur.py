"""Measure whether the face was still."""

from __future__ import annotations

import cv2
import numpy as np
from numpy.typing import NDArray

from kiosk.core.base.measurement import Measurement
from kiosk.vision.face.face_model import FaceShape
from kiosk.vision.face.face_patch import face_patch
from kiosk.vision.measures.sharpness import BLUR_PX, GRAIN_PX, UNIT_PX
from kiosk.vision.pictures.arrays import Rgb, luma

MOTION_SD = 0.07
"""Spread over the compliant rendered sitters of the tuning half."""

DIRECTIONS = 18
SHARP = 0.30
"""The number of directions in which motion is searched for, and the re-blur ratio of a sharp picture: one that is as
sharp as that along every direction did not move. The least of the compliant rendered sitters is 0.27."""


def measure_motion_blur(rgb: Rgb, shape: FaceShape) -> Measurement:
    """Return the ratio of sharpness along the least sharp direction to that across it, 1 for a still face, down to 0.

    Motion takes the edges that lie across its way and leaves the others; a lens out of focus takes all alike. For each
    direction, the gradient before and after a further blur of 2 px is compared (the re-blur ratio as above, over the
    structure tensor: Förstner and Gülch 1987, from memory). It explains why a picture is blurred; a sharp one
    reads 1.
    """
    patch = face_patch(rgb, shape, UNIT_PX)
    if patch is None:
        return Measurement("motion_blur", None, "ratio", MOTION_SD)
    grey = np.asarray(cv2.GaussianBlur(luma(patch.rgb).astype(np.float32), (0, 0), GRAIN_PX), np.float32)
    before, after = _tensor(grey), _tensor(np.asarray(cv2.GaussianBlur(grey, (0, 0), BLUR_PX), np.float32))
    angles = np.arange(DIRECTIONS) * np.pi / DIRECTIONS
    ways = np.stack((np.cos(angles), np.sin(angles)), axis=1)
    kept = np.einsum("di,ij,dj->d", ways, before, ways) / np.maximum(np.einsum("di,ij,dj->d", ways, after, ways), 1e-9)
    sharp = np.clip(np.sqrt(kept) - 1, 0.0, SHARP)
    most = float(sharp.max())
    return Measurement("motion_blur", float(sharp.min()) / most if most > 0 else 1.0, "ratio", MOTION_SD)


def _tensor(grey: NDArray[np.float32]) -> NDArray[np.float64]:
    """Return the mean outer product of the gradient, (2, 2)."""
    x, y = (cv2.Sobel(grey, cv2.CV_32F, *order) for order in ((1, 0), (0, 1)))
    return np.array(((np.mean(x * x), np.mean(x * y)), (np.mean(x * y), np.mean(y * y))), float)
