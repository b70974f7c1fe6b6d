"""Whether a hat, a scarf or a hood covers the head."""

from __future__ import annotations

import cv2
import numpy as np

from kiosk.core.geometry import Rect
from kiosk.core.measurement import Measurement
from kiosk.vision.face_model import Array, Shape
from kiosk.vision.hair import LEFT_FACE_EDGE, RIGHT_FACE_EDGE, Hair
from kiosk.vision.person import PersonMask
from kiosk.vision.pictures import Rgb, lab, luma
from kiosk.vision.upright import upright_part

COVERING_SD = 0.15
"""Of the evidence, over the rendered sitters of the tuning half."""

BRIM_FROM, BRIM_BELOW_TOP, BRIM_RISE = 0.2, 0.1, 0.08
BRIM, BRIM_WIDTH = 0.08, 0.015
"""Heights, face units, between which a brim is looked for, and over which the outline must widen; by how much of half
the face's width a widening is as likely a brim as hair, and the width of the transition."""

CAP_HALF, CAP_DEEP, CAP_LEAST, CAP_EDGE, CAP_STEP = 0.35, 0.45, 0.75, 0.08, 0.01
"""Half width of the part of the top that is looked at, how far down from the top it goes, the height it never reaches
below, and what is left out at the edge; distance of the samples."""

FINE, COARSE = 0.7, 3.0
SMOOTH, SMOOTH_WIDTH = 1.08, 0.06
"""Scales in samples between which hair has texture; the texture, in per cent of the lightness, at which a surface is as
likely cloth as hair."""

FOREIGN_DC, FOREIGN_WIDTH = 10.0, 1.5
"""Difference in chroma from the forehead at which it is as likely cloth as bare scalp."""

FOREHEAD = Rect(-0.2, 0.3, 0.4, 0.15)
OUTLINE_HALF, OUTLINE_STEP = 2.4, 0.02


def measure_no_head_coverings(rgb: Rgb, shape: Shape, mask: PersonMask, hair: Hair | None) -> Measurement:
    """Return how sure it is that nothing covers the head, 1 uncovered to 0.

    Component NoHeadCoverings of ISO/IEC 29794-5. Two things give a covering away: a brim, over which the outline of the
    head suddenly widens upwards, and cloth, which is smoother than hair and coloured unlike the forehead. Whether a
    covering is worn for religion, and whether the document allows it, only a person can tell.
    """
    if hair is None:
        return Measurement("no_head_coverings", None, "ratio", COVERING_SD)
    brim = _likely(_widening(shape, mask, hair.top), BRIM, BRIM_WIDTH)
    texture, foreign = _cap(rgb, shape, hair.top)
    cloth = _likely(-texture, -SMOOTH, SMOOTH_WIDTH) * _likely(foreign, FOREIGN_DC, FOREIGN_WIDTH)
    return Measurement("no_head_coverings", 1 - max(brim, cloth), "ratio", COVERING_SD)


def _widening(shape: Shape, mask: PersonMask, top: float) -> float:
    """Return by how much the outline widens upwards over `BRIM_RISE` at most, in half widths of the face."""
    x = np.arange(-OUTLINE_HALF, OUTLINE_HALF + OUTLINE_STEP / 2, OUTLINE_STEP)
    y = np.arange(BRIM_FROM, top - BRIM_BELOW_TOP, OUTLINE_STEP)
    rise = round(BRIM_RISE / OUTLINE_STEP)
    if len(y) <= rise:
        return 0.0
    person = mask.at(shape.to_picture(np.stack(np.meshgrid(x, y), axis=-1)))
    widths = np.array([(row >= 0.5).sum() * OUTLINE_STEP / 2 for row in person])
    edges = shape.to_upright(shape.landmarks_px[[RIGHT_FACE_EDGE, LEFT_FACE_EDGE], :2])
    half_face = float(np.linalg.norm(edges[1] - edges[0])) / 2
    return float((widths[rise:] - widths[:-rise]).max()) / half_face


def _cap(rgb: Rgb, shape: Shape, top: float) -> tuple[float, float]:
    """Return the texture of the top of the head in per cent, and its difference in chroma from the forehead."""
    low, high = max(CAP_LEAST, top - CAP_DEEP), top - CAP_EDGE
    if high - low < 8 * CAP_STEP:
        return float("inf"), 0.0
    cap = upright_part(rgb, shape, Rect(-CAP_HALF, low, 2 * CAP_HALF, high - low), CAP_STEP)
    grey = cv2.GaussianBlur(luma(cap).astype(np.float32), (0, 0), FINE)
    texture = float(np.median(np.abs(grey - cv2.GaussianBlur(grey, (0, 0), COARSE))))
    colours: list[Array] = [
        np.asarray(np.median(lab(part).reshape(-1, 3), axis=0), float)
        for part in (cap, upright_part(rgb, shape, FOREHEAD, CAP_STEP))
    ]
    return 100 * texture / (float(grey.mean()) + 5), float(np.linalg.norm((colours[0] - colours[1])[1:]))


def _likely(value: float, at: float, width: float) -> float:
    return float(1 / (1 + np.exp(-np.clip((value - at) / width, -50, 50))))
