"""Whether the face is in focus and was still."""

from __future__ import annotations

import cv2
import numpy as np
from numpy.typing import NDArray

from kiosk.core.measurement import Measurement
from kiosk.vision.face_model import Shape
from kiosk.vision.light import face_patch
from kiosk.vision.pictures import Rgb, luma

SHARPNESS_SD = 0.01
"""What reducing 48 compliant pictures by a fifth and saving them as JPEG 70 changes."""

UNIT_PX = 190
"""Outer-eye-corner distance at which sharpness is judged: about 120 px between the eyes, the recommended size of
ISO/IEC 19794-5 (from memory). Blur that cannot be seen at that size does not matter."""

GRAIN_PX, BLUR_PX = 1.0, 2.0
"""Standard deviations of the filter that takes the camera's noise away, and of the further blur."""

MOTION_SD = 0.07
"""Spread over the compliant rendered sitters of the tuning half."""

DIRECTIONS = 18
SHARP = 0.30
"""Directions in which motion is looked for, and the re-blur ratio of a picture that is sharp: what is as sharp as that
along every direction did not move. The least of the compliant rendered sitters is 0.27."""


def measure_sharpness(rgb: Rgb, shape: Shape) -> Measurement:
    """Return the share of the face's edge contrast that a further blur of 2 px would remove, 0 blurred to about 0.5.

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


def measure_motion_blur(rgb: Rgb, shape: Shape) -> Measurement:
    """Return the sharpness along the least sharp direction over that across it, 1 for a face that was still to 0.

    Motion takes the edges that lie across its way and leaves the others; a lens out of focus takes all alike. For each
    direction, the gradient before and after a further blur of 2 px is compared (the re-blur ratio as above, over the
    structure tensor: Förstner and Gülch 1987, from memory). It tells why a blurred picture is blurred; a sharp one
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
