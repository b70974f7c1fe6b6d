"""Pictures as arrays: cropping, resizing, and conversion from sRGB to CIE L*a*b*."""

from __future__ import annotations

from typing import Any

import cv2
import numpy as np
from numpy.typing import NDArray

from kiosk.core.base.colour import XYZ_OF_LINEAR_RGB, linear
from kiosk.core.base.geometry import Rect

Rgb = NDArray[np.uint8]
Grey = NDArray[np.uint8]
Lab = NDArray[np.float32]

_LINEAR = np.array([linear(code / 255) for code in range(256)], np.float32)
_XYZ = np.array(XYZ_OF_LINEAR_RGB)
_XYZ_PER_WHITE = _XYZ / _XYZ.sum(axis=1, keepdims=True)
_LAB = np.array(((0.0, 116.0, 0.0, -16.0), (500.0, -500.0, 0.0, 0.0), (0.0, 200.0, -200.0, 0.0)))


def resized(rgb: Rgb, width_px: int, height_px: int) -> Rgb:
    """Resize a picture, by averaging over areas if it gets smaller and by linear interpolation if it gets larger."""
    shrinks = width_px * height_px < rgb.shape[0] * rgb.shape[1]
    how = cv2.INTER_AREA if shrinks else cv2.INTER_LINEAR
    return np.asarray(cv2.resize(rgb, (max(1, width_px), max(1, height_px)), interpolation=how), np.uint8)


def shrunk(rgb: Rgb, times: int) -> Rgb:
    """Average each square of `times` x `times` pixels into one; incomplete squares are dropped.

    This takes a quarter of the time of `resized`. OpenCV averages squares of 2 x 2 pixels fastest, so an even factor is
    taken in steps; each rounds, by half a level at most.
    """
    if times == 1:
        return rgb
    step = 2 if times % 2 == 0 else times
    height, width = (side // times for side in rgb.shape[:2])
    whole = rgb[: height * times, : width * times]
    size = width * times // step, height * times // step
    return shrunk(np.asarray(cv2.resize(whole, size, interpolation=cv2.INTER_AREA), np.uint8), times // step)


def cut(rgb: Rgb, box_px: Rect) -> Rgb:
    """Crop a picture to a box, rounded to whole pixels; beyond the picture its outermost pixels are repeated."""
    height, width = rgb.shape[:2]
    x0, y0, x1, y1 = (round(v) for v in (box_px.x, box_px.y, box_px.right, box_px.bottom))
    part = rgb[max(y0, 0) : max(y1, 1), max(x0, 0) : max(x1, 1)]
    over = max(-y0, 0), max(y1 - height, 0), max(-x0, 0), max(x1 - width, 0)
    if any(over):
        return np.asarray(cv2.copyMakeBorder(part, *over, cv2.BORDER_REPLICATE), np.uint8)
    return part


def sampled(rgb: Rgb, places_px: NDArray[np.float64]) -> Rgb:
    """Return the interpolated colours at positions (h, w, 2) in px; beyond the picture its edge is repeated."""
    at = (places_px - 0.5).astype(np.float32)
    return np.asarray(
        cv2.remap(rgb, at[..., 0], at[..., 1], cv2.INTER_LINEAR, borderMode=cv2.BORDER_REPLICATE), np.uint8
    )


def luma(rgb: Rgb) -> Grey:
    """Return the luma of ITU-R BT.601, as in JPEG: uint8, one channel."""
    return np.asarray(cv2.cvtColor(rgb, cv2.COLOR_RGB2GRAY), np.uint8)


def linear_light(rgb: Rgb) -> NDArray[np.float32]:
    """Return each channel in linear light, 0 to 1 (IEC 61966-2-1)."""
    return np.asarray(_LINEAR[rgb])


def lab(rgb: Rgb) -> Lab:
    """Return CIE 1976 L*a*b* against the white of sRGB (D65): same shape, float32, L* from 0 to 100.

    This is `kiosk.core.base.colour.lab_of` for whole pictures. OpenCV's own conversion is 0.2 off in mid grey.
    """
    light = linear_light(rgb)
    if light.size == 0:
        return light
    relative = cv2.transform(light.reshape(1, -1, 3), _XYZ_PER_WHITE)
    dark = relative <= (6 / 29) ** 3
    f = cv2.pow(relative, 1 / 3)
    f[dark] = relative[dark] * ((29 / 6) ** 2 / 3) + 4 / 29
    return np.asarray(cv2.transform(f, _LAB, dst=relative).reshape(light.shape))


def lengths(vectors: NDArray[Any]) -> NDArray[Any]:
    """Return how long vectors (..., n) are: colour differences of CIE 1976, where they are of L*a*b*.

    `np.linalg.norm` takes three times as long.
    """
    return np.asarray(np.sqrt(np.einsum("...i,...i->...", vectors, vectors)))


def polygon(shape: tuple[int, ...], corners_px: NDArray[np.float64]) -> NDArray[np.bool_]:
    """Return a mask of the convex hull of some points, in a picture of this height and width."""
    area = np.zeros(shape, np.uint8)
    cv2.fillConvexPoly(area, cv2.convexHull(np.round(corners_px).astype(np.int32)), (1,))
    return area.astype(bool)
