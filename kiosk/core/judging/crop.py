"""Where the document's frame lies in the picture: one scale and one offset that meet all its limits.

Every published vertical limit is a band of `band_fit`. The document's bands are fitted first, and then the
trade's customary values, so that each value ends as far inside its limits as the others allow. The picture is never
rotated or enlarged here: a sitter who leans or stands too far away is coached and shot again.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from kiosk.core.base.geometry import Point, Range, Rect
from kiosk.core.base.measurement import HeadPoints, Measurement
from kiosk.core.base.units import MM_PER_INCH
from kiosk.core.document.document import Document
from kiosk.core.judging.band_fit import Band, fit

PRACTICE_EYE_LINE = Range(0.5, 0.7)
"""Height of the eye line above the lower edge, as a fraction of the photo's height, where a document gives no vertical
rule: ISO/IEC 19794-5:2005 full frontal (from memory)."""

PRACTICE_ROOM_ABOVE_HAIR = Range(0.04, 0.14)
"""Distance from the upper edge to the hair, as a fraction of the photo's height, where a document gives no vertical
rule: common practice of the trade."""

PRACTICE_FACE_CENTRE = Range(0.45, 0.55)
"""Horizontal position of the face centre, as a fraction of the photo's width: ISO/IEC 19794-5:2011 full frontal, Mh
(from memory)."""

_FACE_CENTRE_SHARE = 0.9
"""The part of that range used to move a frame sideways; the rest allows for the uncertainty of the eyes' position."""


@dataclass(frozen=True, slots=True)
class CropPlan:
    """The frame in the picture, and the head's size and position on the print that it results in."""

    rect_px: Rect
    mm_per_px: float
    points_mm: HeadPoints
    measurements: dict[str, Measurement]

    @property
    def dpi(self) -> float:
        """Pixels of the picture per inch of print."""
        return MM_PER_INCH / self.mm_per_px

    @property
    def room_mm(self) -> float:
        """The smallest distance from the frame to the picture's edge, in mm of the print; negative outside."""
        return self.measurements["frame_room"].value or 0.0

    @property
    def is_inside(self) -> bool:
        """Whether the frame lies inside the picture."""
        return self.room_mm >= 0.0


def plan_crop(
    points: HeadPoints, document: Document, width_px: int, height_px: int, head_width_px: float | None = None
) -> CropPlan:
    """Plan the frame of `document` around the head.

    Parameters
    ----------
    points
        Points of the head in the picture.
    document
        The rules; a file to upload is planned in its own frame, `Document.frame_mm`.
    width_px, height_px
        Size of the picture. The frame stays inside it where the limits allow; otherwise `frame_room` is negative by
        the millimetres that the frame reaches outside.
    head_width_px
        The width between the ears, where it was measured. Among the frames that meet every other limit, one is chosen
        that meets the document's `head_width` too, if there is one.

    Notes
    -----
    Heights are measured along the vertical of the picture, as with a template laid on a print.
    """
    photo = document.frame_mm
    rules = _rules(points, document)
    practice = _practice(points, document)
    inside = [
        Band(0.0, 1.0, 0.0, Range(None, 0.0), firm=True),
        Band(float(height_px), 1.0, 0.0, Range(photo.height, None), firm=True),
    ]
    width = [] if head_width_px is None else _width(head_width_px, document)
    scale, offset = (
        fit(rules, [*practice, *inside, *width])
        or fit(rules, [*practice, *inside])
        or fit(rules, inside)
        or fit(rules, practice)
        or fit(rules, [])
        or _head_only(points, document)
    )

    across, height = photo.width / scale, photo.height / scale
    left = _left_edge(points.eye_centre.x, across, width_px, document.face_centre_share or PRACTICE_FACE_CENTRE)
    return plan_in_frame(points, document, Rect(left, -offset / scale, across, height), scale, width_px, height_px)


def plan_in_frame(
    points: HeadPoints, document: Document, rect: Rect, scale: float, width_px: int, height_px: int
) -> CropPlan:
    """Return the plan of a given frame; `scale` is in millimetres per px."""
    measurements = frame_measurements(points, document, rect, scale, width_px, height_px)
    return CropPlan(rect, scale, _on_print(points, rect, scale), measurements)


def _left_edge(face_x_px: float, width: float, width_px: int, place: Range) -> float:
    """Return the frame's left edge: the face in the middle, moved to stay in the picture as far as that is allowed.

    `place` is where the face's middle may lie, in shares of the width; where the photo's middle is no such place, it
    is aimed at in its own middle.
    """
    low, high = place.low or 0.0, 1.0 if place.high is None else place.high
    aim = 0.5 if low <= 0.5 <= high else (low + high) / 2
    centred = face_x_px - width * aim
    inside = min(max(centred, 0.0), max(width_px - width, 0.0))
    slack = min(aim - low, high - aim) * width * _FACE_CENTRE_SHARE
    return min(max(inside, centred - slack), centred + slack)


def _rules(points: HeadPoints, document: Document) -> list[Band]:
    """Return the bands of the document's own vertical limits, and two that keep crown and chin inside the frame."""
    top = points.top(document.head_top.value)
    bands = [
        Band(points.chin.y - top.y, 0.0, 0.0, document.head_height_mm),
        Band(min(top.y, points.crown.y), 1.0, 0.0, Range(0.0, None), firm=True),
        Band(points.chin.y, 1.0, 0.0, Range(None, document.frame_mm.height), firm=True),
    ]
    if document.eye_line_mm is not None:
        bands.append(_eye_band(points, document, document.eye_line_mm))
    if document.margin_above_mm is not None:
        bands.append(Band(top.y, 1.0, 0.0, document.margin_above_mm))
    if document.margin_below_mm is not None:
        bands.append(Band(-points.chin.y, -1.0, document.frame_mm.height, document.margin_below_mm))
    return bands


def _practice(points: HeadPoints, document: Document) -> list[Band]:
    """Return the trade's customary bands: room for the hair, and an eye line where the document sets no limit."""
    height = document.frame_mm.height
    if any((document.eye_line_mm, document.margin_above_mm, document.margin_below_mm)):
        return [Band(points.hair_top.y, 1.0, 0.0, Range(0.0, None), firm=True)]
    return [
        _eye_band(points, document, PRACTICE_EYE_LINE.scaled(height)),
        Band(points.hair_top.y, 1.0, 0.0, PRACTICE_ROOM_ABOVE_HAIR.scaled(height)),
    ]


def _width(head_width_px: float, document: Document) -> list[Band]:
    """Return the document's limits on the head's width, which bound the scale alone."""
    if document.head_width is None:
        return []
    return [Band(head_width_px, 0.0, 0.0, document.head_width.range_mm(document.frame_mm))]


def _eye_band(points: HeadPoints, document: Document, eye_line_mm: Range) -> Band:
    return Band(-points.eye_centre.y, -1.0, document.frame_mm.height, eye_line_mm)


def _head_only(points: HeadPoints, document: Document) -> tuple[float, float]:
    """Return a fallback for contradicting limits: the head of middle height, the eyes on their customary line."""
    height = document.frame_mm.height
    head_px = points.chin.y - points.top(document.head_top.value).y
    scale = document.head_height_mm.middle / head_px
    eye_line = document.eye_line_mm or PRACTICE_EYE_LINE.scaled(height)
    return scale, height - eye_line.middle - scale * points.eye_centre.y


def _on_print(points: HeadPoints, rect: Rect, scale: float) -> HeadPoints:
    """Return the points in millimetres from the upper left corner of the print."""
    return points.moved(lambda point: Point((point.x - rect.x) * scale, (point.y - rect.y) * scale), scale)


def frame_measurements(
    points: HeadPoints, document: Document, rect: Rect, scale: float, width_px: int, height_px: int
) -> dict[str, Measurement]:
    """Return the head's size and position on the print for a given frame; `scale` is in millimetres per px."""
    which = document.head_top.value
    top = points.top(which)
    top_sd_px = points.crown_sd_px if which == "crown" else points.hair_top_sd_px
    room_px = min(rect.x, rect.y, width_px - rect.right, height_px - rect.bottom)
    found = [
        Measurement("head_size", (points.chin.y - top.y) * scale, "mm", points.head_height_sd_px(which) * scale),
        Measurement("eye_line", (rect.bottom - points.eye_centre.y) * scale, "mm", points.eye_sd_px * scale),
        Measurement("margin_above", (top.y - rect.y) * scale, "mm", top_sd_px * scale),
        Measurement("margin_below", (rect.bottom - points.chin.y) * scale, "mm", points.chin_sd_px * scale),
        Measurement(
            "face_centre", (points.eye_centre.x - rect.x) / rect.width, "fraction", points.eye_sd_px / rect.width
        ),
        Measurement(
            "chin_to_eyes",
            (points.chin.y - points.eye_centre.y) * scale,
            "mm",
            math.hypot(points.chin_sd_px, points.eye_sd_px) * scale,
        ),
        Measurement("eye_distance", points.inter_eye_px * scale, "mm", math.sqrt(2) * points.eye_sd_px * scale),
        Measurement("frame_room", round(room_px * scale, 6), "mm"),
        Measurement("resolution", MM_PER_INCH / scale, "dpi"),
    ]
    return {measurement.name: measurement for measurement in found}
