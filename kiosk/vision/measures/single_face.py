"""Measure whether exactly one person is in the picture."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from kiosk.core.base.measurement import Measurement
from kiosk.vision.face.face_model import FaceShape
from kiosk.vision.models.person import PersonMask

REACH, STEP = 3.0, 0.02
"""Half width of the view, and the distance of its samples, face units."""

ABOVE_EYES, ROW_STEP = 1.4, 0.05
"""Height above the eyes up to which is looked, and the distance of the rows: shoulders lie below."""

PERSON = 0.5

LOPSIDED, BESIDE = 0.35, 0.08
"""How much farther the person may reach to one side than to the other (median of the rows), and how much more of a
person may lie beyond a gap (mean of the rows), face units. 467 people alone, rendered and in photographs, with hair of
every kind: at most 0.31, and 0.02 for all but one before a flag; of people half hidden behind somebody else, in whom no
detector sees a face, two of three are above."""

LOPSIDED_PER_DEG = -0.03
"""How much farther a turned head reaches to one side, in face units per degree of yaw: the middle of the skull lies
0.86 units behind the eyes. The same slope in every set of people, -0.028 to -0.036."""


def measure_single_face_present(count: int, *, somebody_beside: bool = False) -> Measurement:
    """Return the number of faces, 0 or more; component SingleFacePresent of ISO/IEC 29794-5 (from memory).

    Parameters
    ----------
    count
        The number of faces found.
    somebody_beside
        The result of `is_somebody_beside`: the count may then be one too low, which is its uncertainty.
    """
    return Measurement("single_face_present", float(count), "count", 1.0 if somebody_beside else 0.0)


def is_somebody_beside(shape: FaceShape, mask: PersonMask, width_px: int, height_px: int) -> bool:
    """Return whether more of a person is visible beside the head than the sitter's own outline explains.

    A second person who is half hidden or looks away shows no face that the detector finds. Above the eyes, the
    sitter's own outline is symmetric except for the turn of the head, and has no gap.

    Parameters
    ----------
    shape
        The aligned face.
    mask
        Person mask of the whole picture.
    width_px, height_px
        Size of the picture: what lies beyond its edges counts on neither side.
    """
    x, y = np.arange(-REACH, REACH + STEP / 2, STEP), np.arange(0.0, ABOVE_EYES, ROW_STEP)
    places = shape.to_picture(np.stack(np.meshgrid(x, y), axis=-1))
    person = mask.at(places) > PERSON
    within = ((places >= 0) & (places < (width_px, height_px))).all(axis=-1)
    lopsided, beside = zip(*(_row(x, *row) for row in zip(person, within, strict=True)), strict=True)
    unexplained = np.median(lopsided) - LOPSIDED_PER_DEG * shape.raw_deg[0]
    return bool(abs(unexplained) > LOPSIDED or np.mean(beside) > BESIDE)


def _row(x: NDArray[np.float64], person: NDArray[np.bool_], within: NDArray[np.bool_]) -> tuple[float, float]:
    """Return how much farther the run across the axis reaches to the right, and how much person lies outside it."""
    gaps_right, gaps_left = x[~person & (x >= 0)], x[~person & (x <= 0)]
    right = float(gaps_right.min()) if len(gaps_right) else REACH
    left = float(gaps_left.max()) if len(gaps_left) else -REACH
    outside = person & within & ((x > right) | (x < left))
    return right + left, float(outside.sum()) * STEP
