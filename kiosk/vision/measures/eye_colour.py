"""Locate the white and the pupil of the eyes, for the measures of their colours."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from kiosk.vision.face.face_model import Array
from kiosk.vision.face.face_patch import LEFT_LIDS, RIGHT_LIDS
from kiosk.vision.pictures.arrays import Lab

UNIT_PX = 300
"""Outer-eye-corner distance in px to which larger pictures are reduced for looking at the eyes."""

EYES = (*RIGHT_LIDS, *LEFT_LIDS)
EYE_DISCS = ((RIGHT_LIDS, 468, 469), (LEFT_LIDS, 473, 474))
"""Landmarks of the lids and of the iris's centre and edge, for the right and the left eye."""


def disc(colours: Lab, points_px: Array, middle: int, edge: int, radii: float) -> NDArray[np.bool_]:
    """Return a mask of the places within `radii` radii of the iris around its centre."""
    y, x = np.mgrid[: colours.shape[0], : colours.shape[1]]
    radius = float(np.linalg.norm(points_px[edge] - points_px[middle]))
    found: NDArray[np.bool_] = np.hypot(x + 0.5 - points_px[middle, 0], y + 0.5 - points_px[middle, 1]) < radii * radius
    return found
