"""Whether the head throws a shadow on the background."""

from __future__ import annotations

import numpy as np

from kiosk.core.base.measurement import Measurement
from kiosk.vision.background.region import Background

SHADOW_SD = 0.2
"""What reducing 48 compliant pictures and saving them as JPEG 70 changes."""


def measure_background_shadow(background: Background | None) -> Measurement:
    """Return how much darker the darkest places beside the head are than light explains, L*, 0 or more.

    "Shadows behind head" of the published benchmark tests; ISO/IEC 29794-5 has no component for it. The 95th percentile
    in a strip beside the person. A background that is burnt out is not measured.
    """
    if background is None or background.burnt_out or not background.near.any():
        return Measurement("background_shadow", None, "L*", SHADOW_SD)
    darker = (-np.percentile(explained.rest[background.near, 0], 5) for explained in background.explained)
    return Measurement("background_shadow", max(0.0, float(min(darker))), "L*", SHADOW_SD)
