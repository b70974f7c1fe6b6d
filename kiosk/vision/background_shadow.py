"""Whether the head throws a shadow on the background."""

from __future__ import annotations

import numpy as np

from kiosk.core.measurement import Measurement
from kiosk.vision.background import Background

SHADOW_SD = 0.2
"""What reducing 48 compliant pictures and saving them as JPEG 70 changes."""


def measure_background_shadow(background: Background | None) -> Measurement:
    """Return how much darker the darkest places beside the head are than the whole background, L*, 0 or more.

    "Shadows behind head" of the published benchmark tests; ISO/IEC 29794-5 has no component for it. The background's
    median less the 5th percentile of a strip beside the person. A background that is burnt out is not measured.
    """
    if background is None or background.burnt_out or not len(background.near):
        return Measurement("background_shadow", None, "L*", SHADOW_SD)
    dark = np.percentile(background.near[:, 0], 5)
    return Measurement("background_shadow", float(np.median(background.all[:, 0]) - dark), "L*", SHADOW_SD)
