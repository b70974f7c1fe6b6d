"""Measure whether the light on the face is even."""

from __future__ import annotations

import numpy as np

from kiosk.core.base.measurement import Measurement
from kiosk.vision.face.face_model import Array
from kiosk.vision.face.face_patch import FacePatch

ILLUMINATION_SD = 0.02
"""Spread over 48 compliant rendered sitters, who are all evenly lit."""

ZONE_SIDE = 0.2
"""Side of a zone in outer-eye-corner distances: 0.3 of the inter-eye distance (ICAO Portrait Quality, from memory)."""

PAIRED_ZONES = ((108, 337), (69, 299), (50, 280), (205, 425), (214, 434))
"""Centres of zones on the right and left of forehead, cheeks and jaw."""


def _zone_means(patch: FacePatch, centre: int) -> Array | None:
    half = max(1.0, ZONE_SIDE / 2 * patch.unit_px)
    x, y = patch.landmarks_px[centre]
    x0, x1, y0, y1 = (round(v) for v in (x - half, x + half, y - half, y + half))
    zone = patch.rgb[max(y0, 0) : max(y1, 0), max(x0, 0) : max(x1, 0)]
    return np.asarray(zone.reshape(-1, 3).mean(axis=0)) if zone.size else None


def measure_illumination_uniformity(patch: FacePatch | None) -> Measurement:
    """Return the smallest ratio between mirrored zones of the face, over all pairs and colour channels, 0 to 1.

    ICAO Portrait Quality (from memory) takes the lowest over the highest mean of forehead, cheeks and chin and asks for
    0.5. Beards and fringes darken a zone without any fault of the light, so zones are compared with their mirror image
    here: component IlluminationUniformity of ISO/IEC 29794-5, both sides of the face equally lit. 1 is perfectly even.
    """
    name, unit = "illumination_uniformity", "ratio"
    if patch is None:
        return Measurement(name, None, unit, ILLUMINATION_SD)
    ratios = []
    for right, left in PAIRED_ZONES:
        one, other = _zone_means(patch, right), _zone_means(patch, left)
        if one is not None and other is not None:
            ratios.append(float((np.minimum(one, other) / np.maximum(np.maximum(one, other), 1.0)).min()))
    return Measurement(name, min(ratios) if ratios else None, unit, ILLUMINATION_SD)
