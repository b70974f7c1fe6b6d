"""Crops of the picture in the upright frame of the face."""

from __future__ import annotations

import numpy as np

from kiosk.core.base.geometry import Rect
from kiosk.vision.face.face_model import Array, FaceShape
from kiosk.vision.pictures.arrays import Rgb, sampled

EYE_CORNERS = ((33, 133), (362, 263))
"""Landmarks of the right and the left eye's corners, each from left to right in the picture."""

RIGHT_CHEEK, LEFT_CHEEK = 205, 425
CHEEK = 0.08
"""Landmarks at the centres of the cheeks' zones, and half the zones' side in face units."""


def upright_part(rgb: Rgb, shape: FaceShape, box: Rect, step: float) -> Rgb:
    """Sample a part of the picture every `step` face units: (rows, columns, 3) uint8 sRGB, top row first.

    Parameters
    ----------
    rgb
        HxWx3 uint8 sRGB.
    shape
        The aligned face.
    box
        In face units relative to the middle of the eyes; `y` is its lower edge, and y points up.
    step
        The sampling step in face units.
    """
    columns, rows = max(2, round(box.width / step)), max(2, round(box.height / step))
    x = box.x + (np.arange(columns) + 0.5) * step
    y = box.y + box.height - (np.arange(rows) + 0.5) * step
    return sampled(rgb, shape.to_picture(np.stack(np.meshgrid(x, y), axis=-1)))


def around(centre: Array, left: float, right: float, below: float, above: float) -> Rect:
    """Return the box that extends by these distances from a point, all in face units."""
    return Rect(float(centre[0]) - left, float(centre[1]) - below, left + right, below + above)


def eye_centres(shape: FaceShape) -> tuple[Array, Array]:
    """Return the midpoints between the corners of the right and the left eye, (2,) each, in face units."""
    right, left = (shape.to_upright(shape.landmarks_px[list(pair), :2]).mean(axis=0) for pair in EYE_CORNERS)
    return right, left
