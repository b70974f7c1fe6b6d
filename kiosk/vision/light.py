"""Light on the face: whether it is even, and whether it is enough and not too much."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from kiosk.core.measurement import Measurement
from kiosk.vision.face_model import Array, Shape
from kiosk.vision.pictures import Rgb, lab, luma, polygon, resized

ILLUMINATION_SD = 0.02
"""Spread over 48 compliant rendered sitters, who are all evenly lit."""

EXPOSURE_SD, LUMINANCE_SD = 0.02, 0.5
"""Wider than what reducing the same 48 pictures and saving them as JPEG 70 changes (0.002 and 0.03), to allow for where
the skin's edge is drawn."""

PATCH_PX = 120
"""Outer-eye-corner distance, in px, of the picture the light is measured on."""

DARK, BRIGHT = 25, 247
"""Luma at or below which a pixel is too dark, at or above which too bright (ISO/IEC 29794-5, from memory)."""

DYNAMIC_RANGE_SD = 0.1
"""Bits. A rough figure: the entropy of a face saved as JPEG 91 and as JPEG 70 differs by less."""

EYE_WHITE = 44.0
"""L* of the white of the eye in a face lit well enough: the least of 48 compliant rendered sitters of any tone."""

ZONE_SIDE = 0.2
"""Side of a zone in outer-eye-corner distances: 0.3 of the inter-eye distance (ICAO Portrait Quality, from memory)."""

PAIRED_ZONES = ((108, 337), (69, 299), (50, 280), (205, 425), (214, 434))
"""Centres of zones on the right and left of forehead, cheeks and jaw."""

OVAL: tuple[int, ...] = (10, 338, 297, 332, 284, 251, 389, 356, 454, 323, 361, 288, 397, 365, 379, 378, 400, 377, 152)
OVAL += (148, 176, 149, 150, 136, 172, 58, 132, 93, 234, 127, 162, 21, 54, 103, 67, 109)
RIGHT_EYE_AREA = (70, 63, 105, 66, 107, 55, 193, 245, 128, 232, 230, 228, 31, 35, 124, 46)
LEFT_EYE_AREA = (300, 293, 334, 296, 336, 285, 417, 465, 357, 452, 450, 448, 261, 265, 353, 276)
RIGHT_LIDS = (33, 246, 161, 160, 159, 158, 157, 173, 133, 155, 154, 153, 145, 144, 163, 7)
LEFT_LIDS = (263, 466, 388, 387, 386, 385, 384, 398, 362, 382, 381, 380, 374, 373, 390, 249)
NOSE_BASE = 2


@dataclass(frozen=True, slots=True, eq=False)
class FacePatch:
    """The face cut out and reduced.

    Attributes
    ----------
    rgb
        hxwx3 uint8 sRGB.
    landmarks_px
        (478, 2) in px of the patch.
    unit_px
        Outer-eye-corner distance of a frontal face, px of the patch.
    """

    rgb: Rgb
    landmarks_px: Array
    unit_px: float


def face_patch(rgb: Rgb, shape: Shape, unit_px: float = PATCH_PX, part: Sequence[int] = ()) -> FacePatch | None:
    """Return the face, or the part of it about some landmarks; None where it lies outside the picture.

    It is reduced until its unit is `unit_px` if it is larger.
    """
    points = shape.landmarks_px[:, :2]
    around = points[list(part)] if part else points
    height, width = rgb.shape[:2]
    margin = 0.1 * shape.unit_px
    x0, y0 = np.clip(np.floor(around.min(axis=0) - margin), 0, (width, height)).astype(int)
    x1, y1 = np.clip(np.ceil(around.max(axis=0) + margin), 0, (width, height)).astype(int)
    if x1 - x0 < 8 or y1 - y0 < 8:
        return None
    factor = min(1.0, unit_px / shape.unit_px)
    size = max(4, round((x1 - x0) * factor)), max(4, round((y1 - y0) * factor))
    reduced = resized(rgb[y0:y1, x0:x1], *size)
    scale = np.array(size) / (x1 - x0, y1 - y0)
    return FacePatch(reduced, (points - (x0, y0)) * scale, shape.unit_px * factor)


def skin(patch: FacePatch) -> NDArray[np.bool_]:
    """Return where forehead, cheeks and nose lie in the patch: the face's oval down to the nose, without the eyes."""
    points = patch.landmarks_px
    height, width = patch.rgb.shape[:2]
    oval = points[list(OVAL)]
    area = polygon((height, width), oval.mean(axis=0) + 0.9 * (oval - oval.mean(axis=0)))
    for eye in (RIGHT_EYE_AREA, LEFT_EYE_AREA):
        area &= ~polygon((height, width), points[list(eye)])
    area[max(0, int(points[NOSE_BASE, 1])) :] = False
    return area


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


def measure_under_exposure_prevention(patch: FacePatch | None) -> Measurement:
    """Return how far the face is from being too dark, 0 to 1: the lower of two fractions.

    One is the share of the skin above code value `DARK` (component UnderExposurePrevention of ISO/IEC 29794-5, from
    memory). It cannot tell dark skin from little light; the white of the eye can, because it is alike in all people:
    the other fraction is its lightness over `EYE_WHITE`. Tinted glasses lower it as well.
    """
    name, unit = "under_exposure_prevention", "fraction"
    if patch is None:
        return Measurement(name, None, unit, EXPOSURE_SD)
    lumas = luma(patch.rgb)[skin(patch)]
    if not lumas.size:
        return Measurement(name, None, unit, EXPOSURE_SD)
    return Measurement(name, min(float((lumas > DARK).mean()), _eye_white(patch) / EYE_WHITE, 1.0), unit, EXPOSURE_SD)


def measure_over_exposure_prevention(patch: FacePatch | None) -> Measurement:
    """Return the share of the skin below code value `BRIGHT`, 0 to 1; component of ISO/IEC 29794-5, from memory."""
    lumas = luma(patch.rgb)[skin(patch)] if patch is not None else np.zeros(0)
    value = float((lumas < BRIGHT).mean()) if lumas.size else None
    return Measurement("over_exposure_prevention", value, "fraction", EXPOSURE_SD)


def _eye_white(patch: FacePatch) -> float:
    """Return the L* that a tenth of the opened eye exceeds, of the eye where it is lighter."""
    size = patch.rgb.shape[:2]
    eyes = [patch.rgb[polygon(size, patch.landmarks_px[list(lids)])] for lids in (RIGHT_LIDS, LEFT_LIDS)]
    seen = [lab(eye)[:, 0] for eye in eyes]
    return max((float(np.percentile(eye, 90)) for eye in seen if eye.size), default=0.0)


def measure_luminance_mean(patch: FacePatch | None) -> Measurement:
    """Return the mean L* of the skin, 0 to 100; component LuminanceMean of ISO/IEC 29794-5."""
    if patch is None:
        return Measurement("luminance_mean", None, "L*", LUMINANCE_SD)
    area = skin(patch)
    value = float(lab(patch.rgb[area])[:, 0].mean()) if area.any() else None
    return Measurement("luminance_mean", value, "L*", LUMINANCE_SD)


def measure_dynamic_range(patch: FacePatch | None) -> Measurement:
    """Return the entropy of the luma inside the face's oval, bits, 0 to 8.

    Component DynamicRange of ISO/IEC 29794-5 (from memory: Shannon entropy of the luminance histogram in the face). A
    washed-out face has little of it.
    """
    if patch is None:
        return Measurement("dynamic_range", None, "bit", DYNAMIC_RANGE_SD)
    area = polygon(patch.rgb.shape[:2], patch.landmarks_px[list(OVAL)])
    shares = np.bincount(luma(patch.rgb)[area], minlength=256) / max(int(area.sum()), 1)
    shares = shares[shares > 0]
    return Measurement("dynamic_range", float(-(shares * np.log2(shares)).sum()), "bit", DYNAMIC_RANGE_SD)
