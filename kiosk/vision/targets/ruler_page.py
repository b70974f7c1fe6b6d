"""Measure a printer's scale from a scan or photograph of its ruler page.

A flatbed scan gets its scale from its resolution, a photograph from a card of ISO/IEC 7810 ID-1 that
lies beside the marks, flat on the same table. The page may be rotated or, in a photograph, seen at an angle.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from itertools import pairwise

import cv2
import numpy as np
import numpy.typing as npt

from kiosk.core.base.geometry import Point, Size
from kiosk.core.base.units import MM_PER_INCH
from kiosk.core.print_scale.ruler import COLUMNS, MARK_MM, ORIGIN_MM, ROWS, Ruler
from kiosk.core.print_scale.scale import Axis, Scale, fit_marks
from kiosk.errors import UnreadableRuler
from kiosk.vision.pictures.arrays import Grey

CARD_MM = Size(85.60, 53.98)
"""ISO/IEC 7810:2019, 5.1.1: a new card of size ID-1."""
CARD_UNCERTAINTY_MM = 0.07
"""The standard permits 85.47 to 85.72 mm and 53.92 to 54.03 mm: a uniform half-width of 0.125 mm over the root of
three."""
SCANNER_UNCERTAINTY = 0.001
"""Standard uncertainty of a flatbed's resolution, as a fraction (practice; check yours with a steel ruler)."""

_SMALLEST_MARK_PX = 12.0
_ROUNDEST = 0.8
_NEIGHBOURHOODS = 10
_DARKER_BY = 40
_OFF_MM = 1.5
_NEAR_MM = 150.0
_PX_PER_MM = 10.0
_CARD_SIZE = 0.06
_SIDE_SHARE = 0.7
_PROFILE_MM = 0.8

Floats = npt.NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class _Blob:
    """A dark round spot: its middle and its area, in pixels."""

    x: float
    y: float
    area: float


def scale_from_scan(grey: Grey, ruler: Ruler, dpi: tuple[float, float]) -> Scale:
    """Return the scale of the page in a flatbed scan.

    Parameters
    ----------
    grey
        Shape (height, width).
    dpi
        Pixels per inch across and down, as the scanner wrote them.

    Raises
    ------
    UnreadableRuler
        Not all marks are visible.
    """
    seen = find_marks(grey, ruler)
    seen_mm = [Point(x / dpi[0] * MM_PER_INCH, y / dpi[1] * MM_PER_INCH) for x, y in seen]
    return fit_marks(ruler.marks, seen_mm, SCANNER_UNCERTAINTY)


def scale_from_photo(grey: Grey, ruler: Ruler) -> Scale:
    """Return the scale of the page in a picture with an ID-1 card beside the marks.

    The picture is first rectified by the marks, as if the page had true scale. A side of the card that then measures
    (u, v) is really (s_x u, s_y v) long; the two sides give two linear equations for the squares of s_x and s_y.

    Raises
    ------
    UnreadableRuler
        Not all marks are visible, there is no card, or it lies askew so that x and y cannot be separated.
    """
    seen = find_marks(grey, ruler)
    nominal = np.array([(mark.x, mark.y) for mark in ruler.marks])
    to_flat = np.array([[_PX_PER_MM, 0, _NEAR_MM * _PX_PER_MM], [0, _PX_PER_MM, _NEAR_MM * _PX_PER_MM], [0, 0, 1.0]])
    from_seen, _ = cv2.findHomography(seen, nominal, 0)
    size = [round((side + 2 * _NEAR_MM) * _PX_PER_MM) for side in (ruler.page_mm.width, ruler.page_mm.height)]
    flat = cv2.warpPerspective(grey, to_flat @ from_seen, size, flags=cv2.INTER_AREA, borderMode=cv2.BORDER_REPLICATE)
    long_side, short_side = find_card(np.asarray(flat, np.uint8))
    squares = np.array([long_side**2, short_side**2])
    if abs(np.linalg.det(squares / squares.sum(axis=1, keepdims=True))) < 0.5:
        raise UnreadableRuler(detail="the card lies askew; lay its sides along those of the page")
    true = np.array([CARD_MM.width, CARD_MM.height])
    x, y = np.sqrt(np.linalg.solve(squares, true**2))
    is_level = squares[0, 0] > squares[0, 1]
    lengths = (CARD_MM.width, CARD_MM.height) if is_level else (CARD_MM.height, CARD_MM.width)
    return Scale(*(Axis(float(s), CARD_UNCERTAINTY_MM / mm) for s, mm in zip((x, y), lengths, strict=True)))


def find_marks(grey: Grey, ruler: Ruler) -> Floats:
    """Return the middles of the marks in pixels, of shape (marks, 2), in the order of `ruler.marks`.

    Raises
    ------
    UnreadableRuler
        Not all marks are visible.
    """
    blobs = sorted(_blobs(grey), key=lambda blob: -blob.area)
    for origin in blobs:
        share = (MARK_MM / ORIGIN_MM) ** 2
        small = [blob for blob in blobs if 0.6 < blob.area / (origin.area * share) < 1.6]
        if len(small) >= COLUMNS * ROWS - 1:
            found = _ordered(origin, small, ruler)
            if found is not None:
                return found
    raise UnreadableRuler(detail=f"its {COLUMNS * ROWS} round marks are not all to be seen")


def _ordered(origin: _Blob, small: list[_Blob], ruler: Ruler) -> Floats | None:
    """Return the marks in the page's order, or None; the corners predict the positions of all others."""
    points = np.array([(blob.x, blob.y) for blob in small])
    first = np.array([origin.x, origin.y])
    last = points[np.argmax(np.hypot(*(points - first).T))]
    diagonal = last - first
    aside = diagonal[0] * (points - first)[:, 1] - diagonal[1] * (points - first)[:, 0]
    # y runs down: the upper right corner lies to the left of the way from the first mark to the last.
    corners = np.array([first, points[np.argmin(aside)], points[np.argmax(aside)], last])
    marks = np.array([(mark.x, mark.y) for mark in ruler.marks])
    page = marks[[0, COLUMNS - 1, -COLUMNS, -1]]
    to_picture = cv2.getPerspectiveTransform(page.astype(np.float32), corners.astype(np.float32))
    expected = cv2.perspectiveTransform(marks[None], to_picture.astype(np.float64))[0]
    px_per_mm = np.hypot(*(corners[1] - first)) / ruler.frame_mm.width
    found = [first]
    for place in expected[1:]:
        off = np.hypot(*(points - place).T)
        if off.min() > _OFF_MM * px_per_mm:
            return None
        found.append(points[off.argmin()])
    return np.array(found)


def _blobs(grey: Grey) -> list[_Blob]:
    """Return all dark round spots."""
    smooth = cv2.GaussianBlur(grey, (5, 5), 0)
    # Against the mean around each place, so that neither a dark table nor a shadow hides the page.
    around_px = max(grey.shape) // _NEIGHBOURHOODS | 1
    dark = cv2.adaptiveThreshold(smooth, 255, cv2.ADAPTIVE_THRESH_MEAN_C, cv2.THRESH_BINARY_INV, around_px, _DARKER_BY)
    contours, _ = cv2.findContours(dark, cv2.RETR_LIST, cv2.CHAIN_APPROX_NONE)
    found = []
    for contour in contours:
        area, around = cv2.contourArea(contour), cv2.arcLength(contour, closed=True)
        if area < math.pi * (_SMALLEST_MARK_PX / 2) ** 2 or 4 * math.pi * area / around**2 < _ROUNDEST:
            continue
        found.append(_weighed(grey, np.asarray(contour, np.int32), area))
    return found


def _weighed(grey: Grey, contour: npt.NDArray[np.int32], area: float) -> _Blob:
    """Return a spot with its centre weighted by darkness, to a few hundredths of a pixel."""
    x, y, width, height = cv2.boundingRect(contour)
    edge = max(3, round(0.25 * math.sqrt(area)))
    top, left = max(0, y - edge), max(0, x - edge)
    window = grey[top : y + height + edge, left : x + width + edge].astype(np.float64)
    paper, ink = np.percentile(window, 90), np.percentile(window, 5)
    # The outermost quarter of the contrast is noise of the paper and the ink, and weighs nothing.
    weight = np.clip((paper - window) / max(paper - ink, 1.0), 0.25, 0.75) - 0.25
    rows, columns = np.mgrid[0 : window.shape[0], 0 : window.shape[1]]
    total = weight.sum()
    return _Blob(left + (weight * columns).sum() / total + 0.5, top + (weight * rows).sum() / total + 0.5, area)


def find_card(flat: Grey) -> tuple[Floats, Floats]:
    """Return the long and the short side of the card in a picture of `_PX_PER_MM`, as vectors in millimetres.

    Raises
    ------
    UnreadableRuler
        There is no card of about the right size.
    """
    edges = cv2.Canny(cv2.GaussianBlur(flat, (9, 9), 0), 20, 60)
    edges = cv2.morphologyEx(edges, cv2.MORPH_CLOSE, np.ones((7, 7), np.uint8))
    contours, _ = cv2.findContours(edges, cv2.RETR_LIST, cv2.CHAIN_APPROX_SIMPLE)
    best: npt.NDArray[np.float64] | None = None
    for contour in contours:
        box = cv2.minAreaRect(contour)
        sides = np.array(sorted(box[1], reverse=True)) / _PX_PER_MM
        true = np.array([CARD_MM.width, CARD_MM.height])
        if np.all(np.abs(sides / true - 1) < _CARD_SIZE) and cv2.contourArea(contour) > 0.9 * math.prod(box[1]):
            best = cv2.boxPoints(box).astype(np.float64)
            break
    if best is None:
        raise UnreadableRuler(detail="no card of 85.60 x 53.98 mm lies whole beside the page, apart from it")
    lines = [_side(flat, start, end) for start, end in pairwise([*best, best[0]])]
    corners = [np.cross(one, other) for one, other in pairwise([lines[-1], *lines])]
    points = np.array([corner[:2] / corner[2] for corner in corners]) / _PX_PER_MM
    first, second = (
        (points[1] - points[0] + points[2] - points[3]) / 2,
        (points[2] - points[1] + points[3] - points[0]) / 2,
    )
    return (first, second) if np.hypot(*first) > np.hypot(*second) else (second, first)


def _side(flat: Grey, start: Floats, end: Floats) -> Floats:
    """Return a side as a line (a, b, c), fitted to the steepest points of profiles across its middle part."""
    along = (end - start) / np.hypot(*(end - start))
    across = np.array([-along[1], along[0]])
    length = np.hypot(*(end - start))
    steps = np.arange(length * (1 - _SIDE_SHARE) / 2, length * (1 + _SIDE_SHARE) / 2)
    reach = np.arange(-_PROFILE_MM * _PX_PER_MM, _PROFILE_MM * _PX_PER_MM + 1, 0.5)
    places = start + steps[:, None, None] * along + reach[None, :, None] * across
    profile = cv2.remap(
        flat, places[..., 0].astype(np.float32), places[..., 1].astype(np.float32), cv2.INTER_LINEAR
    ).astype(np.float64)
    # Noise is averaged along the side first; a card's side is straight.
    profile = np.asarray(cv2.blur(profile, (3, 21)), np.float64)
    steep = np.abs(np.diff(profile, axis=1))
    steep = np.clip(steep - 0.3 * steep.max(axis=1, keepdims=True), 0, None)
    middle = (steep * (reach[:-1] + 0.25)).sum(axis=1) / np.maximum(steep.sum(axis=1), 1e-9)
    keep = np.abs(middle - np.median(middle)) < 2.0
    slope, offset = np.polyfit(steps[keep], middle[keep], 1)
    one, other = start + offset * across, start + length * along + (offset + slope * length) * across
    return np.asarray(np.cross([*one, 1.0], [*other, 1.0]), np.float64)
