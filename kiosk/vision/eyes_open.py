"""How far the eyes are open."""

from __future__ import annotations

import numpy as np

from kiosk.core.measurement import Measurement
from kiosk.vision.face_model import Array, Shape

EYES_OPEN_SD = 0.04
"""Against the true lid gaps of 63 rendered pictures of the tuning half, whose lids open 0.055 wider than the mesh's."""

RIGHT_LIDS = ((160, 144), (159, 145), (158, 153))
LEFT_LIDS = ((385, 380), (386, 374), (387, 373))
RIGHT_CORNERS, LEFT_CORNERS = (33, 133), (362, 263)
"""Landmarks of three pairs of upper and lower lid, and of the corners."""


def openings(landmarks_px: Array) -> tuple[float, float]:
    """Return the opening of the right and the left eye: mean gap of three lid pairs over the width of the eye."""
    points = landmarks_px[:, :2]

    def length(pair: tuple[int, int]) -> float:
        return float(np.linalg.norm(points[pair[0]] - points[pair[1]]))

    def opening(lids: tuple[tuple[int, int], ...], corners: tuple[int, int]) -> float:
        return sum(map(length, lids)) / len(lids) / max(length(corners), 1e-9)

    return opening(RIGHT_LIDS, RIGHT_CORNERS), opening(LEFT_LIDS, LEFT_CORNERS)


def measure_eyes_open(shape: Shape) -> Measurement:
    """Return the opening of the eye that is open less, a ratio from 0 to about 0.5.

    Component EyesOpen of ISO/IEC 29794-5 (from memory: lid opening relative to the face); here relative to the eye's
    own width, so that distance and head size do not matter. Lashes, tinted glasses and hair can hide the lids without
    the landmarks noticing.
    """
    return Measurement("eyes_open", min(openings(shape.landmarks_px)), "ratio", EYES_OPEN_SD)
