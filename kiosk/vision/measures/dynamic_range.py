"""Measure whether the face is washed out."""

from __future__ import annotations

import numpy as np

from kiosk.core.base.measurement import Measurement
from kiosk.vision.face.face_patch import OVAL, FacePatch
from kiosk.vision.pictures.arrays import luma, polygon

DYNAMIC_RANGE_SD = 0.1
"""A rough figure in bits: the entropies of a face saved as JPEG 91 and as JPEG 70 differ by less."""


def measure_dynamic_range(patch: FacePatch | None) -> Measurement:
    """Return the entropy of the luma inside the face's oval in bits, 0 to 8.

    This is the component DynamicRange of ISO/IEC 29794-5 (from memory: Shannon entropy of the luminance histogram in
    the face). A washed-out face has a low entropy.
    """
    if patch is None:
        return Measurement("dynamic_range", None, "bit", DYNAMIC_RANGE_SD)
    area = polygon(patch.rgb.shape[:2], patch.landmarks_px[list(OVAL)])
    shares = np.bincount(luma(patch.rgb)[area], minlength=256) / max(int(area.sum()), 1)
    shares = shares[shares > 0]
    return Measurement("dynamic_range", float(-(shares * np.log2(shares)).sum()), "bit", DYNAMIC_RANGE_SD)
