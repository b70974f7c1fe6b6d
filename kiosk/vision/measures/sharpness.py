"""Measure whether the face is in focus."""

from __future__ import annotations

import cv2
import numpy as np

from kiosk.core.base.measurement import Measurement
from kiosk.vision.face.face_model import FaceShape
from kiosk.vision.face.face_patch import face_patch
from kiosk.vision.pictures.arrays import Rgb, luma

SHARPNESS_SD = 0.01
"""Standard deviation of the change when reducing 48 compliant pictures by a fifth and saving them as JPEG 70
changes."""

UNIT_PX = 190
"""Outer-eye-corner distance at which sharpness is judged: about 120 px between the eyes, the recommended size of
ISO/IEC 19794-5 (from memory). Blur that cannot be seen at that size does not matter."""

GRAIN_PX, BLUR_PX = 1.0, 2.0
"""Standard deviations of the filter that takes the camera's noise away, and of the further blur."""


def measure_sharpness(rgb: Rgb, shape: FaceShape) -> Measurement:
    """Return the fraction of edge contrast that a further blur of 2 px removes, 0 if blurred, up to about 0.5.

    Component Sharpness of ISO/IEC 29794-5; the measure is a re-blur ratio (Crete et al. 2007, from memory) taken along
    rows and along columns, of which the smaller counts, so that motion in one direction shows. Strong grain
    still passes for sharpness.
    """
    patch = face_patch(rgb, shape, UNIT_PX)
    if patch is None:
        return Measurement("sharpness", None, "ratio", SHARPNESS_SD)
    grey = cv2.GaussianBlur(luma(patch.rgb).astype(np.float32), (0, 0), GRAIN_PX)
    shares = []
    for axis, size in ((0, (1, 13)), (1, (13, 1))):
        blurred = cv2.GaussianBlur(grey, size, BLUR_PX)
        before, after = (float(np.sqrt((np.diff(image, axis=axis) ** 2).mean())) for image in (grey, blurred))
        shares.append(1 - after / before if before > 0 else 0.0)
    return Measurement("sharpness", min(shares), "ratio", SHARPNESS_SD)
