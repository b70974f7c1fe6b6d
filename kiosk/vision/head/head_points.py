"""The points in terms of which documents are specified: crown, hair top, chin, eye centres.

Eye centre: the middle of the line between the inner and outer corner (ISO/IEC 39794-5, from memory). Crown: the top of
the head as if there were no hair (ICAO guidance as quoted). Chin: the lowest point of its outline.
"""

from __future__ import annotations

import math

import numpy as np

from kiosk.core.base.geometry import Point, Rect
from kiosk.core.base.measurement import HeadPoints
from kiosk.vision.face.face_model import (
    CHIN,
    LEFT_EYE_INNER,
    LEFT_EYE_OUTER,
    RIGHT_EYE_INNER,
    RIGHT_EYE_OUTER,
    FaceShape,
)
from kiosk.vision.head.chin import chin_height
from kiosk.vision.head.crown import crown_height, likely_stands
from kiosk.vision.head.hair import Hair
from kiosk.vision.pictures.arrays import Rgb

EYE_SD, HAIR_TOP_SD = 0.004, 0.006
"""Standard deviations as fractions of the head height: 128 and 48 rendered people."""

REGRESSION_SHARE = 0.3
"""The fraction of the regression's correction of eye centres and chin that is applied. It was fitted to rendered heads.
The corners of their eyes are vertices of the skin, which lie about 0.4 % of the head height above the place where the
lids are seen to meet, and their chins end where the surface turns away. In 51 photographs marked by hand (DeBruine and
Jones 2017, doi:10.6084/m9.figshare.5047666.v5, CC BY 4.0) the mesh alone has the height of the eyes right, and the
whole of the regression puts the eyes 0.6 % too high and the chin 1.1 % too low. Turned heads need the part of it that
goes sideways."""

EYE_HIDDEN_SD = 0.02
"""Standard deviation of an eye centre along each axis, in head heights, if the eyes are completely hidden: 1.7 % off
behind a fringe."""

WISPS_SD = 0.5
"""Standard deviation of the hair top as a fraction of the frizz, whose end is a matter of taste."""

STANDING_SD = 0.015
"""Standard deviation of the top of standing hair, in head heights: frizz thins out; noise and bright light swallow its
ends first."""

HAIR_UNSEEN_SD = 0.15
"""Standard deviation of an invisible hair top, in head heights: big hair adds up to 0.36 to the crown in rendered
heads."""

CHIN_SD_PER_DEG = 0.001
"""Standard deviation of the chin, in head heights per degree of a nod: the outline's lowest point moves under the
jaw."""

HEAD_BOX = (-3.2, 3.2, 3.9, -2.5)
"""Left, right, top and bottom of the part of the picture for the person mask, in face units relative to the middle of
the eyes."""


def head_box(shape: FaceShape) -> Rect:
    """Return the part of the picture for the person mask, in px."""
    left, right, top, bottom = (edge * shape.unit_px for edge in HEAD_BOX)
    x, y = shape.origin_px
    return Rect(float(x) + left, float(y) - top, right - left, top - bottom)


def head_points(rgb: Rgb, shape: FaceShape, hair: Hair | None, hidden: float = 0.0) -> HeadPoints:
    """Return the head's points in px of the picture with their standard deviations.

    Parameters
    ----------
    rgb
        HxWx3 uint8 sRGB.
    shape
        The aligned face.
    hair
        The visible hair, or None; the hair top is then placed at the crown.
    hidden
        The hidden fraction of the eyes, from `eye_cover.hidden_share`.
    """
    regressed = shape.regressed

    def point(x: float, y: float) -> Point:
        return Point(*shape.to_picture(np.array((x, y))).tolist())

    corners = shape.to_upright(
        shape.landmarks_px[[RIGHT_EYE_OUTER, RIGHT_EYE_INNER, LEFT_EYE_INNER, LEFT_EYE_OUTER], :2]
    )
    right, left = corners[:2].mean(axis=0), corners[2:].mean(axis=0)
    expected = shape.to_upright(shape.landmarks_px[CHIN, :2]) + REGRESSION_SHARE * np.array(
        (regressed["chin_x"], regressed["chin_y"])
    )
    crown = crown_height(regressed["crown_y"], hair)
    chin = chin_height(rgb, shape, expected, crown.value - float(expected[1]))
    head_height = (crown.value - chin.value) * shape.unit_px
    if hair is None:
        hair_top_sd = math.hypot(crown.sd * shape.unit_px, HAIR_UNSEEN_SD * head_height)
    else:
        unsure = math.hypot(WISPS_SD * hair.wisps, hair.faint_sd) * shape.unit_px
        hair_top_sd = math.hypot(HAIR_TOP_SD * head_height, STANDING_SD * likely_stands(hair) * head_height, unsure)
    nod_deg = abs(shape.raw_deg[1] + regressed["pitch"])
    return HeadPoints(
        crown=point(regressed["crown_x"], crown.value),
        hair_top=point(hair.top_x, hair.top) if hair else point(regressed["crown_x"], crown.value),
        chin=point(float(expected[0]), chin.value),
        right_eye=point(
            right[0] + REGRESSION_SHARE * regressed["right_eye_x"],
            right[1] + REGRESSION_SHARE * regressed["right_eye_y"],
        ),
        left_eye=point(
            left[0] + REGRESSION_SHARE * regressed["left_eye_x"], left[1] + REGRESSION_SHARE * regressed["left_eye_y"]
        ),
        crown_sd_px=crown.sd * shape.unit_px,
        hair_top_sd_px=hair_top_sd,
        chin_sd_px=math.hypot(chin.sd * shape.unit_px, CHIN_SD_PER_DEG * nod_deg * head_height),
        eye_sd_px=math.hypot(EYE_SD, EYE_HIDDEN_SD * hidden) * head_height,
    )
