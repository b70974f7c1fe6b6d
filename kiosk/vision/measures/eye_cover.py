"""Measure whether hair hangs over the eyes, or a frame of spectacles runs across them."""

from __future__ import annotations

import cv2
import numpy as np
from numpy.typing import NDArray

from kiosk.core.base.geometry import Rect
from kiosk.core.base.measurement import Measurement
from kiosk.vision.face.face_model import FaceShape
from kiosk.vision.face.upright_crop import CHEEK, LEFT_CHEEK, RIGHT_CHEEK, around, eye_centres, upright_part
from kiosk.vision.pictures.arrays import Rgb, lab, luma

EYES_VISIBLE_SD = 0.1
"""Standard deviation for bare eyes that read less than 1; fringes have the same."""

STEP = 0.006
GRAIN = 0.8
"""Distance of the samples, face units, and standard deviation in samples of the filter that takes noise away."""

ZONES = ((0.20, 0.20, 0.10, 0.12), (0.17, 0.17, 0.24, -0.08))
"""Reach to the left, right, downwards and upwards of the zones about the middle of an eye, face units: the eye with
lids, and the skin beneath it."""

FLAT = 0.15
"""Code values a sample: what little a plain surface varies, so that it has no direction."""

EYE = (0.15, 0.15, 0.07, 0.07)
BLUR = 1.2
DARK, LIGHT = 5, 95
"""Reach of an eye between its lids, as `ZONES`; standard deviation, in samples, of the filter before its darkest and
its lightest are taken, and the percentiles that are taken for them."""

CLEAR = 0.5
"""How far apart they are in a bare eye at least, by `_contrast`: 0.35 or more in 99 of 100 people, 0.64 in the middle;
0.13 to 0.23 behind rendered fringes."""

BESIDE, RIM_HALF, RIM_STEP = ((-0.27, -0.19), (0.19, 0.27)), 0.06, 0.004
"""Left and right ends of the strips beside the corners of an eye, half their height, and the distance of the samples,
face units: a lower rim of 1 mm is three samples high."""

SLOPE = 0.016
"""How much lower or higher a rim may run at one corner than at the other, face units, each way."""

BARE_RIM = 0.85
"""The least of `_rim` in rendered sitters under even light, with and without spectacles; 0.13 to 0.32 with a rim of
1 mm drawn across the eyes."""

VISIBLE_ENOUGH = 0.8
"""The visibility from which landmarks of rendered sitters are as accurate as on bare eyes."""


def measure_eyes_visible(rgb: Rgb, shape: FaceShape, spectacles: float = 0.0) -> Measurement:
    """Return how free the eyes are of hanging hair: 1 if free, falling towards 0.

    Component EyesVisible of ISO/IEC 29794-5 ("hair across eyes" and "frame covering eyes" of the published benchmark
    tests). The least of what two see. Strands run down over the eye where lids, lashes and creases run across it, and
    neither dark lids, bags and brows nor shade have that direction. Smooth hair leaves no difference between the iris
    and the light about it; nor do dark lenses and shut lids. A thin lock is not seen. Under spectacles a dark band that
    runs across at the height of the eye, seen beside both of its corners, counts as well.

    Parameters
    ----------
    rgb
        HxWx3 uint8 sRGB.
    shape
        The aligned face.
    spectacles
        The probability that spectacles are worn, 0 to 1, because bare skin has dark bands of its own.
    """
    rim = 1 - spectacles * (1 - min(1.0, _rim(rgb, shape) / BARE_RIM)) if spectacles else 1.0
    seen = min(1 / _strands(rgb, shape), _contrast(rgb, shape) / CLEAR, rim, 1.0)
    return Measurement("eyes_visible", seen, "ratio", EYES_VISIBLE_SD)


def hidden_share(visible: Measurement, glare: Measurement) -> float:
    """Return the fraction of the eyes hidden from the landmark model, 0 to 1, by the two measures of what covers them.

    The model itself does not report lower confidence behind hair and glare.
    """
    free = VISIBLE_ENOUGH if visible.value is None else visible.value
    return max(0.0, VISIBLE_ENOUGH - free, glare.value or 0.0)


def _strands(rgb: Rgb, shape: FaceShape) -> float:
    """Return the median change from column to column relative to that from row to row, in the worst zone."""
    ratios = []
    for centre in eye_centres(shape):
        for zone in ZONES:
            grey = cv2.GaussianBlur(_luma(rgb, shape, around(centre, *zone)), (0, 0), GRAIN)
            across, along = (float(np.median(np.abs(np.diff(grey, axis=axis)))) for axis in (1, 0))
            ratios.append((across + FLAT) / (along + FLAT))
    return max(ratios)


def _contrast(rgb: Rgb, shape: FaceShape) -> float:
    """Return how far apart the dark and the light of the worse eye are, in the luma of its light or of the cheeks.

    The lighter of the two counts: the white of the eye is lighter than dark skin, light skin as light as the white.
    """
    places = shape.to_upright(shape.landmarks_px[[RIGHT_CHEEK, LEFT_CHEEK], :2])
    cheek = float(np.mean([np.median(_luma(rgb, shape, around(place, *(CHEEK,) * 4))) for place in places]))
    found = []
    for centre in eye_centres(shape):
        eye = cv2.GaussianBlur(_luma(rgb, shape, around(centre, *EYE)), (0, 0), BLUR)
        dark, light = np.percentile(eye, (DARK, LIGHT)).tolist()
        found.append((light - dark) / max(light, cheek, 1.0))
    return float(min(found))


def _rim(rgb: Rgb, shape: FaceShape) -> float:
    """Return the lightness of the darkest row beside an eye relative to that of the light rows.

    The lighter side counts, and the worse eye.
    """
    reach = np.ones((2 * round(SLOPE / RIM_STEP) + 1, 1), np.uint8)
    ratios = []
    for centre in eye_centres(shape):
        sides = []
        for left, right in BESIDE:
            box = Rect(float(centre[0]) + left, float(centre[1]) - RIM_HALF, right - left, 2 * RIM_HALF)
            rows = np.median(lab(upright_part(rgb, shape, box, RIM_STEP))[..., 0], axis=1)
            sides.append(cv2.erode(rows / max(float(np.percentile(rows, 75)), 1.0), reach).ravel())
        ratios.append(float(np.max(sides, axis=0).min()))
    return min(ratios)


def _luma(rgb: Rgb, shape: FaceShape, box: Rect) -> NDArray[np.float32]:
    return luma(upright_part(rgb, shape, box, STEP)).astype(np.float32)
