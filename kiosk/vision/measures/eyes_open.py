"""Measure how far the eyes are open: whether the lids are up, rather than how wide the eye is.

Narrow, old and deep-set eyes show less between their lids than others in the middle of a blink, so the gap between
lids cannot distinguish the two. The appearance of the whole eye can: an iris between two edges, or a lid stretched
over it. Gradients of the eye with lid and brow (Dalal and Triggs 2005, from memory: histograms of oriented gradients)
are weighed by a ridge regression on photographs of open eyes and on the same with the upper lid drawn down by known
shares. `tests/bench/fit_lids` fits it; the numbers, and the note of what they have seen, lie beside this module.
"""

from __future__ import annotations

from functools import cache
from pathlib import Path

import cv2
import numpy as np

from kiosk.core.base.measurement import Measurement
from kiosk.vision.face.face_model import Array, FaceShape
from kiosk.vision.face.upright_crop import around, eye_centres, upright_part
from kiosk.vision.pictures.arrays import Grey, Rgb, luma, resized

FILE = Path(__file__).with_name("eyes_open.npz")

EYES_OPEN_SD = 0.12
"""Standard deviation for open eyes, each person judged by a fit that has not seen them: 0.09 in a studio, 0.13 in
smiling snapshots."""

RIGHT_LIDS = ((160, 144), (159, 145), (158, 153))
LEFT_LIDS = ((385, 380), (386, 374), (387, 373))
RIGHT_CORNERS, LEFT_CORNERS = (33, 133), (362, 263)
"""Landmarks of three pairs of upper and lower lid, and of the corners."""

REACH, STEP = (0.24, 0.24, 0.13, 0.19), 0.01
"""Reach to the left, right, downwards and upwards of the picture of an eye about its middle, and the distance of its
samples, face units: the corners with lid and brow, in as many pixels as a live picture has."""

COLUMNS, ROWS = 48, 32
CELL, BLOCK, DIRECTIONS = 8, 16, 9
"""Size of the picture; sides of the cells and of the blocks in which they are normalised, in samples; number of
directions: the usual ones of the descriptor."""


def measure_eyes_open(rgb: Rgb, shape: FaceShape) -> Measurement:
    """Return how far the lids of the less open eye are up: about 1 as people hold them, about 0 shut.

    Component EyesOpen of ISO/IEC 29794-5 (from memory) takes the gap between the lids. Spectacles do not matter; hair
    and dark lenses hide the eye.
    """
    weights, constant = _fit()
    opened = min(float(gradients(eye) @ weights) + constant for eye in eye_pictures(rgb, shape))
    return Measurement("eyes_open", opened, "ratio", EYES_OPEN_SD)


def eye_pictures(rgb: Rgb, shape: FaceShape) -> tuple[Grey, Grey]:
    """Return the right eye, upright, (32, 48), and the left one mirrored."""
    right, left = (_eye_picture(rgb, shape, centre) for centre in eye_centres(shape))
    return right, np.ascontiguousarray(left[:, ::-1])


def gradients(eye: Grey) -> Array:
    """Return the descriptor of an eye's picture, (540,)."""
    sizes = ((COLUMNS, ROWS), (BLOCK, BLOCK), (CELL, CELL), (CELL, CELL))
    return np.asarray(cv2.HOGDescriptor(*sizes, DIRECTIONS).compute(eye), float).ravel()


def openings(landmarks_px: Array) -> tuple[float, float]:
    """Return the opening of the right and the left eye: mean gap of three lid pairs over the width of the eye."""
    points = landmarks_px[:, :2]

    def length(pair: tuple[int, int]) -> float:
        return float(np.linalg.norm(points[pair[0]] - points[pair[1]]))

    def opening(lids: tuple[tuple[int, int], ...], corners: tuple[int, int]) -> float:
        return sum(map(length, lids)) / len(lids) / max(length(corners), 1e-9)

    return opening(RIGHT_LIDS, RIGHT_CORNERS), opening(LEFT_LIDS, LEFT_CORNERS)


def _eye_picture(rgb: Rgb, shape: FaceShape, centre: Array) -> Grey:
    """Return an eye sampled at the picture's resolution and then reduced to `COLUMNS` x `ROWS`."""
    part = upright_part(rgb, shape, around(centre, *REACH), min(STEP, 1 / shape.unit_px))
    return luma(resized(part, COLUMNS, ROWS))


@cache
def _fit() -> tuple[Array, float]:
    with np.load(FILE) as stored:
        return stored["weights"].astype(float), float(stored["constant"])
