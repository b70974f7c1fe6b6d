"""Whether the background is even."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from kiosk.core.base.measurement import Measurement
from kiosk.vision.background.region import Background, Explained
from kiosk.vision.pictures.arrays import lengths

UNIFORMITY_SD_DE = 0.3
"""What reducing 48 compliant pictures and saving them as JPEG 70 changes."""

MOST = 95
"""The percentile that stands for all places: hair and the picture's grain have the rest."""

FALL_OFF = 0.25
"""Weight of the smooth part: light that falls off by 12 units is as much as a shadow of 3. A studio's lens and lamp, in
102 portraits of 51 people that any office would take: 2.4 to 10.7."""

SPOT = 1 / 3
"""Weight of the one place that stands out most: it is a coat hook or a stain, too small for a percentile, or a lock of
hair beyond the mask. The same portraits: at most 7."""


def measure_background_uniformity(background: Background | None) -> Measurement:
    """Return how uneven the background is beyond smooth light, dE*ab; 0 is perfectly even.

    Component BackgroundUniformity of ISO/IEC 29794-5; colour difference of ISO/CIE 11664-4. The 95th percentile of the
    difference from a smooth surface (`kiosk.vision.background.smooth_surface`), of the whole or of what is near the
    head, whichever is more. The surface's own 95th percentile from its median counts by `FALL_OFF`, and the
    largest difference by `SPOT`. Where a reference of the empty backdrop is known, what it explains is no defect
    either. Clipping makes any background look even, so that one that is burnt out is not measured.
    """
    if background is None or background.burnt_out:
        return Measurement("background_uniformity", None, "dE", UNIFORMITY_SD_DE)
    value = min(_uneven(explained, background.near) for explained in background.explained)
    return Measurement("background_uniformity", value, "dE", UNIFORMITY_SD_DE)


def _uneven(explained: Explained, near: NDArray[np.bool_]) -> float:
    fall_off = lengths(explained.smooth - np.median(explained.smooth, axis=0))
    parts = (explained.broad, explained.broad[near]) if near.any() else (explained.broad,)
    return max(
        *(float(np.percentile(part, MOST)) for part in parts),
        FALL_OFF * float(np.percentile(fall_off, MOST)),
        SPOT * float(explained.broad.max()),
    )
