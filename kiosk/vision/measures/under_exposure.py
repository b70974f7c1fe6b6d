"""Measure whether the face is underexposed."""

from __future__ import annotations

import numpy as np

from kiosk.core.base.measurement import Measurement
from kiosk.vision.face.face_patch import LEFT_LIDS, RIGHT_LIDS, FacePatch, skin
from kiosk.vision.pictures.arrays import lab, luma, polygon

EXPOSURE_SD = 0.02
"""Larger than the effect of reducing 48 compliant pictures and saving them as JPEG 70 (0.002), to allow for where the
skin's edge is drawn."""

DARK = 25
"""Luma at or below which a pixel is too dark (ISO/IEC 29794-5, from memory)."""

EYE_WHITE = 44.0
"""L* of the white of the eye in a face lit well enough: the least of 48 compliant rendered sitters of any tone."""


def measure_under_exposure_prevention(patch: FacePatch | None) -> Measurement:
    """Return how well the face is lit, 0 to 1, as the lower of two fractions.

    One is the fraction of the skin above code value `DARK` (component UnderExposurePrevention of ISO/IEC 29794-5, from
    memory). It cannot distinguish dark skin from little light. The white of the eye can, because it is alike in all
    people: the other fraction is its lightness over `EYE_WHITE`. Tinted glasses lower it as well.
    """
    name, unit = "under_exposure_prevention", "fraction"
    if patch is None:
        return Measurement(name, None, unit, EXPOSURE_SD)
    lumas = luma(patch.rgb)[skin(patch)]
    if not lumas.size:
        return Measurement(name, None, unit, EXPOSURE_SD)
    return Measurement(name, min(float((lumas > DARK).mean()), _eye_white(patch) / EYE_WHITE, 1.0), unit, EXPOSURE_SD)


def _eye_white(patch: FacePatch) -> float:
    """Return the L* that a tenth of the open eye exceeds, for the lighter eye."""
    size = patch.rgb.shape[:2]
    eyes = [patch.rgb[polygon(size, patch.landmarks_px[list(lids)])] for lids in (RIGHT_LIDS, LEFT_LIDS)]
    seen = [lab(eye)[:, 0] for eye in eyes]
    return max((float(np.percentile(eye, 90)) for eye in seen if eye.size), default=0.0)
