"""Measure the lightness of the skin."""

from __future__ import annotations

from kiosk.core.base.measurement import Measurement
from kiosk.vision.face.face_patch import FacePatch, skin
from kiosk.vision.pictures.arrays import lab

LUMINANCE_SD = 0.5
"""Larger than the effect of reducing 48 compliant pictures and saving them as JPEG 70 (0.03), to allow for where the
skin's edge is drawn."""


def measure_luminance_mean(patch: FacePatch | None) -> Measurement:
    """Return the mean L* of the skin, 0 to 100; component LuminanceMean of ISO/IEC 29794-5."""
    if patch is None:
        return Measurement("luminance_mean", None, "L*", LUMINANCE_SD)
    area = skin(patch)
    value = float(lab(patch.rgb[area])[:, 0].mean()) if area.any() else None
    return Measurement("luminance_mean", value, "L*", LUMINANCE_SD)
