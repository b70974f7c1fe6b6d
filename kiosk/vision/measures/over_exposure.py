"""Measure whether the face is overexposed."""

from __future__ import annotations

import numpy as np

from kiosk.core.base.measurement import Measurement
from kiosk.vision.face.face_patch import FacePatch, skin
from kiosk.vision.pictures.arrays import luma

EXPOSURE_SD = 0.02
"""Larger than the effect of reducing 48 compliant pictures and saving them as JPEG 70 (0.002), to allow for where the
skin's edge is drawn."""

BRIGHT = 247
"""Luma at or above which a pixel is too bright (ISO/IEC 29794-5, from memory)."""


def measure_over_exposure_prevention(patch: FacePatch | None) -> Measurement:
    """Return the fraction of the skin below code value `BRIGHT`, 0 to 1; component of ISO/IEC 29794-5, from memory."""
    lumas = luma(patch.rgb)[skin(patch)] if patch is not None else np.zeros(0)
    value = float((lumas < BRIGHT).mean()) if lumas.size else None
    return Measurement("over_exposure_prevention", value, "fraction", EXPOSURE_SD)
