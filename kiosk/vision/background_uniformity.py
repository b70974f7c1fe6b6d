"""Whether the background is even."""

from __future__ import annotations

import numpy as np

from kiosk.core.measurement import Measurement
from kiosk.vision.background import Background

UNIFORMITY_SD_DE = 0.3
"""What reducing 48 compliant pictures and saving them as JPEG 70 changes."""


def measure_background_uniformity(background: Background | None) -> Measurement:
    """Return how uneven the background is: the 95th percentile of the colour difference from its median, dE*ab.

    Component BackgroundUniformity of ISO/IEC 29794-5; colour difference of ISO/CIE 11664-4. 0 is perfectly even.
    Clipping makes any background look even, so that one that is burnt out is not measured.
    """
    if background is None or background.burnt_out:
        return Measurement("background_uniformity", None, "dE", UNIFORMITY_SD_DE)
    differences = np.linalg.norm(background.all - np.median(background.all, axis=0), axis=1)
    return Measurement("background_uniformity", float(np.percentile(differences, 95)), "dE", UNIFORMITY_SD_DE)
