"""Where the head belongs in the camera's picture, so that the document's frame fits with room to spare.

The sitter is guided to a position, not to a crop: the frame may lie anywhere inside the picture, so these limits are
wider than the document's. They are narrow enough that a head inside them also fits the outline on the screen.
"""

from __future__ import annotations

from dataclasses import dataclass

from kiosk.core.base.geometry import Range, Rect
from kiosk.core.base.measurement import HeadPoints, Measurement
from kiosk.core.base.units import px_from_mm
from kiosk.core.document.document import Document
from kiosk.core.judging.crop import PRACTICE_EYE_LINE

FRAME_SHARE = Range(0.46, 0.78)
"""Height of the document's frame as a fraction of the picture's height (practice): a smaller frame lacks pixels, a
larger one lacks room for hair."""

HEAD_TOLERANCE = 0.14
"""Relative deviation of the head's size from the outline that still looks like a fit (practice)."""

EYE_TOLERANCE = 0.06
"""Permitted deviation of the eyes from their position, as a fraction of the picture's width and height: about 26 mm at
1.5 m (practice)."""

ROOM_SHARE = 0.03
"""Room left between the frame and the picture's edge, as a fraction of the picture's size (practice)."""

_SPARE_PIXELS = 1.05
"""Resolution reserve, as a factor on what the print needs, for a sitter who leans back."""
_TIGHT = 0.9
"""Smallest frame, as a fraction of the largest, for a camera with too few pixels to leave a choice."""

_HEAD_ASPECT = 0.654
"""Head breadth over head height: ANSUR II, men, mean (computed from the public data)."""

_SHARE_ABOVE_EYES = 0.485
"""Share of head height above the eye line: ANSUR II means, men 0.481 and women 0.490 (computed from the public data).
"""


@dataclass(frozen=True, slots=True)
class Framing:
    """The head's permitted size and position, as fractions of the picture's width and height.

    Attributes
    ----------
    head
        Head height from crown to chin, as a fraction of the picture's height.
    eye_x, eye_y
        Midpoint of the eye line, as fractions of the picture's width and height.
    guide
        Bounding box of a head in the middle of these ranges.
    inner, outer
        Bounding boxes of the contours on the screen: of the smallest head in the middle, and of all that a head within
        these ranges can cover.
    crop
        The document's frame about a head in the middle.
    """

    head: Range
    eye_x: Range
    eye_y: Range
    guide: Rect
    inner: Rect
    outer: Rect
    crop: Rect


def framing(document: Document, width_px: int, height_px: int) -> Framing:
    """Return where the head belongs for `document` in a still of the given size."""
    photo = document.frame_mm
    frame_aspect = photo.width / photo.height
    widest = width_px * (1 - 2 * ROOM_SHARE) / frame_aspect / height_px
    fewest = px_from_mm(photo.height, document.needed_dpi) / height_px
    share = FRAME_SHARE.intersection(Range(fewest * _SPARE_PIXELS, min(widest, 1 - 2 * ROOM_SHARE)))
    if share.is_empty:
        share = Range(widest * _TIGHT, widest)
    head_of_frame = document.head_height_mm.middle / photo.height
    eye_line = document.eye_line_mm or PRACTICE_EYE_LINE.scaled(photo.height)
    frame = share.middle
    eye_middle = (1 - frame) / 2 + frame * (1 - eye_line.middle / photo.height)
    crop_width = frame * frame_aspect * height_px / width_px
    spare_x = min(max((1 - crop_width) / 2 - ROOM_SHARE, ROOM_SHARE), EYE_TOLERANCE)
    spare_y = min(max((1 - frame) / 2 - ROOM_SHARE, ROOM_SHARE), EYE_TOLERANCE)
    head = frame * head_of_frame
    heads = share.scaled(head_of_frame).intersection(Range(head * (1 - HEAD_TOLERANCE), head * (1 + HEAD_TOLERANCE)))
    least, most = heads.low or head, heads.high or head

    def reach(size: float, by_x: float = 0.0, by_y: float = 0.0) -> Rect:
        """Return the box about a head in the middle that may move by so much to each side."""
        width = size * _HEAD_ASPECT * height_px / width_px + 2 * by_x
        return Rect(0.5 - width / 2, eye_middle - size * _SHARE_ABOVE_EYES - by_y, width, size + 2 * by_y)

    return Framing(
        head=heads,
        eye_x=Range(0.5 - spare_x, 0.5 + spare_x),
        eye_y=Range(eye_middle - spare_y, eye_middle + spare_y),
        guide=reach(head),
        inner=reach(least),
        outer=reach(most, spare_x, spare_y),
        crop=Rect(0.5 - crop_width / 2, (1 - frame) / 2, crop_width, frame),
    )


def place(points: HeadPoints, width_px: int, height_px: int) -> dict[str, Measurement]:
    """Measure the head's size and the eyes' position, as fractions of the picture."""
    return {
        "head_share": Measurement("head_share", points.head_height_px() / height_px, "fraction"),
        "eye_x": Measurement("eye_x", points.eye_centre.x / width_px, "fraction"),
        "eye_y": Measurement("eye_y", points.eye_centre.y / height_px, "fraction"),
    }
