"""How much the camera's noise shows on the face."""

from __future__ import annotations

import cv2
import numpy as np

from kiosk.core.measurement import Measurement
from kiosk.vision.face_model import Shape
from kiosk.vision.face_patch import face_patch, skin
from kiosk.vision.pictures import Rgb

NOISE_SD = 0.2
"""Spread over the compliant rendered sitters of the tuning half, who differ in the grain of their skin."""

UNIT_PX = 400
"""Outer-eye-corner distance, in px, at which noise is judged, if there are as many: a head of 34 mm at about 700 pixels
per inch. Finer grain is averaged away on any print."""

MASK = np.array(((1, -2, 1), (-2, 4, -2), (1, -2, 1)), np.float32)
"""Difference of two Laplacians, which lets edges and gradients pass unseen (Immerkær 1996, from memory); it makes noise
six times larger."""

GAIN = 6.0
MEDIAN_PER_SD = 0.6745
"""Of the absolute value of a normal distribution: the median instead of Immerkær's mean, so that pores, lashes and
beards do not count."""

RED, GREEN, BLUE = 0.299, 0.587, 0.114


def measure_noise(rgb: Rgb, shape: Shape) -> Measurement:
    """Return the standard deviation of the noise of the luma on the skin, in code values of 255.

    No component of ISO/IEC 29794-5 is called so; a face with it fails the texture requirement of ANSI/NIST-ITL Annex E,
    E.3.6 (quoted). Strong JPEG compression erases noise: see `measure_no_compression_artifacts`.
    """
    patch = face_patch(rgb, shape, UNIT_PX)
    area = None if patch is None else skin(patch)
    if patch is None or area is None or not area.any():
        return Measurement("noise", None, "code", NOISE_SD)
    grey = patch.rgb.astype(np.float32) @ np.array((RED, GREEN, BLUE), np.float32)
    left = np.abs(cv2.filter2D(grey, -1, MASK))[area]
    return Measurement("noise", float(np.median(left)) / MEDIAN_PER_SD / GAIN, "code", NOISE_SD)
