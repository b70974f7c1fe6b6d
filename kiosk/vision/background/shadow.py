"""The shadow of the head on the background."""

from __future__ import annotations

import numpy as np

from kiosk.core.base.measurement import Measurement
from kiosk.vision.background.region import Background

SHADOW_SD = 0.2
"""Standard deviation of the change when 48 compliant pictures are reduced and saved as JPEG 70."""


def measure_background_shadow(background: Background | None) -> Measurement:
    """Return by how much L* beside the head is below what smooth light explains, 0 or more.

    This is "shadows behind head" of the published benchmark tests; ISO/IEC 29794-5 has no such component. It is the
    95th percentile in a strip beside the person. A burnt-out background is not measured.
    """
    if background is None or background.burnt_out or not background.near.any():
        return Measurement("background_shadow", None, "L*", SHADOW_SD)
    darker = (-np.percentile(explained.rest[background.near, 0], 5) for explained in background.explained)
    return Measurement("background_shadow", max(0.0, float(min(darker))), "L*", SHADOW_SD)
