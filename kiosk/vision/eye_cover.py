"""Whether hair hangs over the eyes, or a frame of spectacles runs across them."""

from __future__ import annotations

import cv2
import numpy as np

from kiosk.core.geometry import Rect
from kiosk.core.measurement import Measurement
from kiosk.vision.face_model import Array, Shape
from kiosk.vision.pictures import Rgb, lab, luma, luminance
from kiosk.vision.upright import CHEEK, LEFT_CHEEK, RIGHT_CHEEK, around, eye_centres, upright_part

EYES_VISIBLE_SD = 0.1
"""Spread over the compliant rendered sitters of the tuning half."""

STEP = 0.006
GRAIN = 0.8
"""Distance of the samples, face units, and standard deviation in samples of the filter that takes noise away."""

ZONES = ((0.20, 0.20, 0.10, 0.12), (0.17, 0.17, 0.24, -0.08))
"""Reach to the left, right, downwards and upwards of the zones about the middle of an eye, face units: the eye with
lids, and the skin beneath it."""

FLAT = 0.15
"""Code values a sample: what little a plain surface varies, so that it has no direction."""

NOSE_ROOT = Rect(-0.06, 0.02, 0.12, 0.20)
LID = (0.15, 0.15, -0.08, 0.25)
SHADE, TINGE_DC = 0.85, 7.0
"""The nose's root, in face units from the middle of the eyes; the reach of lid and brow about the middle of an eye; how
light the former is at least and how unlike the latter at most, compared with the cheeks: the extremes of the compliant
rendered sitters."""

COLOUR_STEP = 0.01

BESIDE, RIM_HALF, RIM_STEP = ((-0.27, -0.19), (0.19, 0.27)), 0.06, 0.004
"""Left and right ends of the strips beside the corners of an eye, half their height, and the distance of the samples,
face units: a lower rim of 1 mm is three samples high."""

BARE_RIM = 0.85
"""The least of `_rim` in the tuning half under even light, with and without spectacles; 0.13 to 0.32 with a rim of 1 mm
drawn across the eyes."""

VISIBLE_ENOUGH = 0.8
"""From here on the landmarks of the tuning half are as true as on bare eyes."""


def measure_eyes_visible(rgb: Rgb, shape: Shape) -> Measurement:
    """Return how free of hanging hair the eyes are: 1 free, falling towards 0.

    Component EyesVisible of ISO/IEC 29794-5 ("hair across eyes" and "frame covering eyes" of the published benchmark
    tests). The least of four:
    strands, which run down over the eye where lids, lashes and creases run across it; the lightness of the nose's root
    against the cheeks, which dark hair takes away; the colour of lids and brows against the cheeks, which light hair
    takes away; a dark band that runs across at the height of the eye, seen beside both of its corners. Tinted lenses
    and thick frames lower it as well; a thin lock at one side is not seen.
    """
    values = min(1 / _strands(rgb, shape), *_tones(rgb, shape), _rim(rgb, shape) / BARE_RIM)
    return Measurement("eyes_visible", min(1.0, values), "ratio", EYES_VISIBLE_SD)


def hidden_share(visible: Measurement, glare: Measurement) -> float:
    """Return how much of the eyes the landmarks cannot have seen, 0 to 1, by the two measures of what lies over them.

    The landmarks themselves stay as sure as ever behind hair and glare.
    """
    free = VISIBLE_ENOUGH if visible.value is None else visible.value
    return max(0.0, VISIBLE_ENOUGH - free, glare.value or 0.0)


def _strands(rgb: Rgb, shape: Shape) -> float:
    """Return the typical (median) change from column to column over that from row to row, of the worst zone."""
    ratios = []
    for centre in eye_centres(shape):
        for zone in ZONES:
            part = luma(upright_part(rgb, shape, around(centre, *zone), STEP)).astype(np.float32)
            grey = cv2.GaussianBlur(part, (0, 0), GRAIN)
            across, along = (float(np.median(np.abs(np.diff(grey, axis=axis)))) for axis in (1, 0))
            ratios.append((across + FLAT) / (along + FLAT))
    return max(ratios)


def _tones(rgb: Rgb, shape: Shape) -> tuple[float, float]:
    """Return lightness and colour about the eyes against the cheeks, each 1 at the edge of what bare eyes show."""
    places = shape.to_upright(shape.landmarks_px[[RIGHT_CHEEK, LEFT_CHEEK], :2])
    cheek = np.mean([_colour(rgb, shape, around(place, *(CHEEK,) * 4)) for place in places], axis=0)
    root = _colour(rgb, shape, NOSE_ROOT)
    lids = [_colour(rgb, shape, around(centre, *LID)) for centre in eye_centres(shape)]
    unlike = max(float(np.linalg.norm((lid - cheek)[1:])) for lid in lids)
    return float(luminance(root) / max(luminance(cheek), 1e-4)) / SHADE, TINGE_DC / max(unlike, 1e-4)


def _rim(rgb: Rgb, shape: Shape) -> float:
    """Return the lightness of the darkest row beside an eye over that of the light ones.

    The side where it is lighter counts, and the worse eye.
    """
    ratios = []
    for centre in eye_centres(shape):
        sides = []
        for left, right in BESIDE:
            box = Rect(float(centre[0]) + left, float(centre[1]) - RIM_HALF, right - left, 2 * RIM_HALF)
            rows = np.median(lab(upright_part(rgb, shape, box, RIM_STEP))[..., 0], axis=1)
            sides.append(float(rows.min() / max(float(np.percentile(rows, 75)), 1.0)))
        ratios.append(max(sides))
    return min(ratios)


def _colour(rgb: Rgb, shape: Shape, box: Rect) -> Array:
    """Return the median colour of a part, (3,) L*a*b*."""
    return np.asarray(np.median(lab(upright_part(rgb, shape, box, COLOUR_STEP)).reshape(-1, 3), axis=0), float)
