"""The points a document's rule is written in: crown, hair top, chin, eye centres.

Eye centre: the middle of the line between the inner and outer corner (ISO/IEC 39794-5, from memory). Crown: the top of
the head as if there were no hair (ICAO guidance as quoted). A picture shows the hair top; how much hair lies over the
crown must be inferred. Two voices are weighed against each other: the face below the hair, from which the height of
the skull can be extrapolated, and the person mask, whose top is the crown plus an unknown thickness of hair. Their
product over all heights in between gives the crown and its standard deviation, which grows when they disagree.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from kiosk.core.geometry import Point, Rect
from kiosk.core.measurement import HeadPoints
from kiosk.vision.face_model import (
    CHIN,
    LEFT_EYE_INNER,
    LEFT_EYE_OUTER,
    RIGHT_EYE_INNER,
    RIGHT_EYE_OUTER,
    Array,
    Shape,
    predict,
)
from kiosk.vision.person import PersonMask

EYE_SD, CHIN_SD, HAIR_TOP_SD = 0.004, 0.012, 0.004
"""Standard deviations as fractions of the head height."""

CROWN_FROM_FACE_SD = 0.035
"""Of the extrapolation from the face alone, as a fraction of the head height."""

SHORT_HAIR, SHORT_HAIR_SD, BIG_HAIR = 0.012, 0.008, 0.09
"""Thickness of hair over the crown as fractions of the head height: a close-cut head of hair and its spread, and the
mean of the exponential tail of everything larger."""

SHORT_HAIR_SHARE = 0.5

HEAD_BOX = (-3.2, 3.2, 3.9, -2.5)
"""Left, right, top and bottom of the part of the picture the mask is read from, in units of the outer-eye-corner
distance from the middle of the eyes."""

PERSON = 0.5
NEAR_THE_AXIS = 1.3
"""Half the width of the strip in which the hair top is looked for, in outer-eye-corner distances."""


def head_box(shape: Shape) -> Rect:
    """Return the part of the picture to read the person mask from, px."""
    left, right, top, bottom = HEAD_BOX
    x, y = shape.origin_px
    return Rect(
        x + left * shape.unit_px,
        y - top * shape.unit_px,
        (right - left) * shape.unit_px,
        (top - bottom) * shape.unit_px,
    )


def hair_top(shape: Shape, mask: PersonMask) -> Point | None:
    """Return the highest point of hair or covering near the head's axis in px, or None where the mask shows none."""
    per_x, per_y = mask.px_per_cell
    eye_row = int((shape.origin_px[1] - mask.box_px.y) / per_y)
    columns = (np.arange(mask.values.shape[1]) + 0.5) * per_x + mask.box_px.x
    lean = np.tan(np.radians(shape.raw_deg[2])) * 1.6 * shape.unit_px
    near = np.abs(columns - shape.origin_px[0] - lean) < NEAR_THE_AXIS * shape.unit_px
    if not near.any() or eye_row < 2:
        return None
    rows = _first_rows(mask.values[:eye_row, near])
    if rows is None:
        return None
    column = int(np.argmin(rows))
    return Point(float(columns[near][column]), mask.box_px.y + float(rows[column]) * per_y)


def _first_rows(values: NDArray[np.float32]) -> Array | None:
    """Return, for each column, how many rows lie above the person, climbing from the lowest row, to a part of a row."""
    person = values >= PERSON
    if not person[-1].any():
        return None
    height = len(person)
    run = np.argmin(person[::-1], axis=0)
    run = np.where(person.all(axis=0), height, run)
    first = height - run
    above = np.maximum(first - 1, 0)
    index = np.arange(values.shape[1])
    low, high = values[above, index], values[np.minimum(first, height - 1), index]
    part = np.where(first > 0, (PERSON - low) / np.maximum(high - low, 1e-6), 0.0)
    rows = np.where(first > 0, first - 0.5 + np.clip(part, 0.0, 1.0), 0.0)
    smooth = np.convolve(np.pad(rows, 1, mode="edge"), np.full(3, 1 / 3), mode="valid")
    return np.asarray(smooth, float)


@dataclass(frozen=True, slots=True)
class Height:
    """A height above the eyes with its standard deviation, any one unit."""

    value: float
    sd: float


def crown_height(from_face: Height, to_hair_top: float, head_height: float) -> Height:
    """Weigh the extrapolated crown against the hair top seen, all heights above the eyes in one unit.

    Parameters
    ----------
    from_face
        The crown extrapolated from the face.
    to_hair_top
        The hair top from the mask.
    head_height
        Crown to chin, to which the thickness of hair is proportional.
    """
    spread = max(4 * from_face.sd, abs(to_hair_top - from_face.value) + 2 * from_face.sd)
    grid = np.linspace(from_face.value - spread, from_face.value + spread, 801)
    thickness = (to_hair_top - grid) / head_height
    short = np.exp(-0.5 * ((thickness - SHORT_HAIR) / SHORT_HAIR_SD) ** 2) / (SHORT_HAIR_SD * np.sqrt(2 * np.pi))
    edge = 1 / (1 + np.exp(-np.clip(thickness / (HAIR_TOP_SD / 2), -50, 50)))
    big = edge * np.exp(-np.maximum(thickness, 0) / BIG_HAIR) / BIG_HAIR
    hair = SHORT_HAIR_SHARE * short + (1 - SHORT_HAIR_SHARE) * big
    face = np.exp(-0.5 * ((grid - from_face.value) / from_face.sd) ** 2)
    weight = hair * face
    total = weight.sum()
    if total <= 0:
        return from_face
    mean = float((grid * weight).sum() / total)
    return Height(mean, float(np.sqrt(((grid - mean) ** 2 * weight).sum() / total)))


def head_points(shape: Shape, mask: PersonMask | None) -> HeadPoints:
    """Return the head's points in px of the picture with their standard deviations.

    Parameters
    ----------
    shape
        The aligned face.
    mask
        The person mask of `head_box` or of the whole picture; without one the hair top is taken at the crown.
    """
    told = predict(shape)
    corners = shape.to_upright(
        shape.landmarks_px[[RIGHT_EYE_OUTER, RIGHT_EYE_INNER, LEFT_EYE_INNER, LEFT_EYE_OUTER], :2]
    )
    right = corners[:2].mean(axis=0) + np.array((told["right_eye_x"], told["right_eye_y"]))
    left = corners[2:].mean(axis=0) + np.array((told["left_eye_x"], told["left_eye_y"]))
    chin = shape.to_upright(shape.landmarks_px[CHIN, :2]) + np.array((told["chin_x"], told["chin_y"]))
    head_height = told["crown_y"] - chin[1]
    crown = Height(told["crown_y"], CROWN_FROM_FACE_SD * head_height)
    top = hair_top(shape, mask) if mask is not None else None
    if top is not None:
        seen = float(shape.to_upright(np.array((top.x, top.y)))[1])
        crown = crown_height(crown, seen, head_height)
    crown_px = shape.to_picture(np.array((told["crown_x"], crown.value)))
    unit = head_height * shape.unit_px
    return HeadPoints(
        crown=_point(crown_px),
        hair_top=top if top is not None else _point(crown_px),
        chin=_point(shape.to_picture(chin)),
        right_eye=_point(shape.to_picture(right)),
        left_eye=_point(shape.to_picture(left)),
        crown_sd_px=crown.sd * shape.unit_px,
        hair_top_sd_px=HAIR_TOP_SD * unit if top is not None else crown.sd * shape.unit_px,
        chin_sd_px=CHIN_SD * unit,
        eye_sd_px=EYE_SD * unit,
    )


def _point(xy: Array) -> Point:
    return Point(float(xy[0]), float(xy[1]))
