"""Bleed: the picture goes on beyond the trim, so that a cut that is off by a little leaves no white edge.

It is for cutting at the marks, so it is only where a mark shows the trim; elsewhere the picture's edge is the trim.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import NamedTuple

from kiosk.core.base.geometry import Rect, Size
from kiosk.core.sheet.imposition import Placement, Sheet

BLEED_MM = 0.5
"""The least bleed: the tolerance of a cut by hand, as `cutting.MARK_CLEARANCE_MM` (practice)."""

WHITE_MM = 0.5
"""White that stays between the bleeds of two photos, so that they are seen apart (practice)."""

_SAME_MM = 2e-3


class Edges(NamedTuple):
    """A number for each edge; of the photo where they are pixels, of the sheet where they are sides."""

    left: int
    top: int
    right: int
    bottom: int

    def turned(self) -> Edges:
        """Return the edges as they lie on the sheet when the photo's top is to the right."""
        return Edges(self.bottom, self.left, self.top, self.right)


NO_EDGES = Edges(0, 0, 0, 0)


def reach_mm(trim_mm: Rect, width_px: int, height_px: int, bleed_px: Edges, turned: bool) -> tuple[float, ...]:
    """Return how far a picture's bleed reaches beyond its trim on the sheet: on the left, above, on the right, below.

    Parameters
    ----------
    width_px, height_px
        The trimmed picture.
    bleed_px
        Pixels beyond each edge of the picture.
    """
    across, down = (trim_mm.height, trim_mm.width) if turned else (trim_mm.width, trim_mm.height)
    edges = bleed_px.turned() if turned else bleed_px
    pitch = Size(across / width_px, down / height_px)
    x_mm, y_mm = (pitch.height, pitch.width) if turned else (pitch.width, pitch.height)
    return edges.left * x_mm, edges.top * y_mm, edges.right * x_mm, edges.bottom * y_mm


def shown_mm(trim_mm: Rect, reach_mm: Sequence[float], sides: Edges) -> Rect:
    """Return what is drawn of a picture: its trim, and its bleed on the open sides."""
    return trim_mm.inset(*(-reach * is_open for reach, is_open in zip(reach_mm, sides, strict=True)))


def open_sides(sheet: Sheet, bleeds_mm: Sequence[Size]) -> tuple[Edges, ...]:
    """Return, for each place, the sides of the sheet on which its photo may bleed: 1, or 0 where it ends at the trim.

    A side is open where its trim has a cut mark, where the printer reaches the whole bleed, and where `WHITE_MM` is
    left before the bleed of the next photo.

    Parameters
    ----------
    bleeds_mm
        How far each photo, by `Placement.item`, reaches beyond its trim, across and down the photo.
    """
    reach_mm = max((max(bleed.width, bleed.height) for bleed in bleeds_mm), default=0.0)
    return tuple(
        Edges(
            *(int(_is_open(sheet, place, side, _on_sheet(bleeds_mm[place.item], place), reach_mm)) for side in range(4))
        )
        for place in sheet.photos
    )


def _on_sheet(bleed_mm: Size, place: Placement) -> Size:
    return bleed_mm.turned() if place.turned else bleed_mm


def _is_open(sheet: Sheet, place: Placement, side: int, bleed_mm: Size, reach_mm: float) -> bool:
    trim = place.rect_mm
    across, down = bleed_mm.width, bleed_mm.height
    band, line_mm = (
        (Rect(trim.x - across, trim.y, across, trim.height), trim.x),
        (Rect(trim.x, trim.y - down, trim.width, down), trim.y),
        (Rect(trim.right, trim.y, across, trim.height), trim.right),
        (Rect(trim.x, trim.bottom, trim.width, down), trim.bottom),
    )[side]
    is_upright = side % 2 == 0
    if not sheet.printable_mm.contains(band) or not _has_mark(sheet, line_mm, is_upright):
        return False
    clear = band.inset(*[-(reach_mm + WHITE_MM)] * 4)
    return not any(other is not place and clear.overlaps(other.rect_mm) for other in sheet.photos)


def _has_mark(sheet: Sheet, line_mm: float, is_upright: bool) -> bool:
    for mark in sheet.marks:
        at_mm = mark.x0_mm if is_upright else mark.y0_mm
        if (mark.x0_mm == mark.x1_mm) == is_upright and abs(at_mm - line_mm) < _SAME_MM:
            return True
    return False
