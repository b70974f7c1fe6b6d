"""The uniformity of the background."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from kiosk.core.base.measurement import Measurement
from kiosk.vision.background.region import Background, Explained
from kiosk.vision.pictures.arrays import lengths

UNIFORMITY_SD_DE = 0.3
"""Standard deviation of the change when 48 compliant pictures are reduced and saved as JPEG 70."""

MOST = 95
"""The percentile that represents all places; hair and grain make up the remainder."""

FALL_OFF = 0.25
"""The weight of the smooth part: light that falls off by 12 units counts like a shadow of 3. A studio's lens and lamp,
in 102 portraits of 51 people that any office would accept, reach 2.4 to 10.7."""

SPOT = 1 / 3
"""The weight of the most deviating place: a coat hook or a stain, too small for a percentile, or a lock of
hair beyond the mask. In the same portraits it is at most 7."""


def measure_background_uniformity(background: Background | None) -> Measurement:
    """Return how uneven the background is beyond smooth light, dE*ab; 0 is perfectly even.

    This is the component BackgroundUniformity of ISO/IEC 29794-5, with colour differences by ISO/CIE 11664-4. It is the
    95th percentile of the difference from a smooth surface (`kiosk.vision.background.smooth_surface`), over all places
    or over those near the head, whichever is larger. The 95th percentile of the surface's own deviation from its median
    counts with the weight `FALL_OFF`, and the largest difference with `SPOT`. What a reference of the empty backdrop
    explains is no defect either. A burnt-out background is not measured, because clipping makes any background look
    even.
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
