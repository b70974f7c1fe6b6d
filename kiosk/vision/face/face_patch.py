"""The cropped and reduced face and its skin, on which light and grain are measured."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from kiosk.vision.face.face_model import Array, FaceShape
from kiosk.vision.pictures.arrays import Rgb, polygon, resized

PATCH_PX = 120
"""Outer-eye-corner distance in px to which the face is reduced for measuring the light."""

OVAL: tuple[int, ...] = (10, 338, 297, 332, 284, 251, 389, 356, 454, 323, 361, 288, 397, 365, 379, 378, 400, 377, 152)
OVAL += (148, 176, 149, 150, 136, 172, 58, 132, 93, 234, 127, 162, 21, 54, 103, 67, 109)
RIGHT_EYE_AREA = (70, 63, 105, 66, 107, 55, 193, 245, 128, 232, 230, 228, 31, 35, 124, 46)
LEFT_EYE_AREA = (300, 293, 334, 296, 336, 285, 417, 465, 357, 452, 450, 448, 261, 265, 353, 276)
RIGHT_LIDS = (33, 246, 161, 160, 159, 158, 157, 173, 133, 155, 154, 153, 145, 144, 163, 7)
LEFT_LIDS = (263, 466, 388, 387, 386, 385, 384, 398, 362, 382, 381, 380, 374, 373, 390, 249)
NOSE_BASE = 2


@dataclass(frozen=True, slots=True, eq=False)
class FacePatch:
    """The cropped and reduced face.

    Attributes
    ----------
    rgb
        hxwx3 uint8 sRGB.
    landmarks_px
        (478, 2) in px of the patch.
    unit_px
        Outer-eye-corner distance of a frontal face, in px of the patch.
    """

    rgb: Rgb
    landmarks_px: Array
    unit_px: float


def face_patch(rgb: Rgb, shape: FaceShape, unit_px: float = PATCH_PX, part: Sequence[int] = ()) -> FacePatch | None:
    """Crop the face, or the part of it around some landmarks; return None if it lies outside the picture.

    A larger face is reduced until its unit is `unit_px`.
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
    """Return a mask of forehead, cheeks and nose: the face's oval down to the nose, without the eyes."""
    points = patch.landmarks_px
    height, width = patch.rgb.shape[:2]
    oval = points[list(OVAL)]
    area = polygon((height, width), oval.mean(axis=0) + 0.9 * (oval - oval.mean(axis=0)))
    for eye in (RIGHT_EYE_AREA, LEFT_EYE_AREA):
        area &= ~polygon((height, width), points[list(eye)])
    area[max(0, int(points[NOSE_BASE, 1])) :] = False
    return area
