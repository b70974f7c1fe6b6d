"""Bleed: the picture extends beyond the trim, so that a slightly misplaced cut leaves no white edge.

There is bleed only where a cut mark shows the trim; elsewhere the picture's own edge shows where to cut.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import NamedTuple

from kiosk.core.base.geometry import Rect, Size
from kiosk.core.sheet.imposition import Placement, Sheet

BLEED_MM = 0.5
"""The minimum bleed: the tolerance of a cut by hand, as in `cut_marks.MARK_CLEARANCE_MM` (practice)."""

WHITE_MM = 0.5
"""The white gap left between the bleeds of two photos, so that they stay distinguishable (practice)."""

_SAME_MM = 2e-3


class Edges(NamedTuple):
    """One number per edge: pixels of bleed at the edges of the photo, or 0 or 1 for the sides of its placement."""

    left: int
    top: int
    right: int
    bottom: int

    def turned(self) -> Edges:
        """Return the edges as they lie on the sheet when the photo's top points to the right."""
        return Edges(self.bottom, self.left, self.top, self.right)


NO_EDGES = Edges(0, 0, 0, 0)


def reach_mm(trim_mm: Rect, width_px: int, height_px: int, bleed_px: Edges, turned: bool) -> tuple[float, ...]:
    """Return how far a picture's bleed reaches beyond its trim on the sheet: left, top, right, bottom.

    Parameters
    ----------
    width_px, height_px
        Size of the trimmed picture.
    bleed_px
        Pixels beyond each edge of the trimmed picture.
    """
    across, down = (trim_mm.height, trim_mm.width) if turned else (trim_mm.width, trim_mm.height)
    edges = bleed_px.turned() if turned else bleed_px
    pitch = Size(across / width_px, down / height_px)
    x_mm, y_mm = (pitch.height, pitch.width) if turned else (pitch.width, pitch.height)
    return edges.left * x_mm, edges.top * y_mm, edges.right * x_mm, edges.bottom * y_mm


def shown_mm(trim_mm: Rect, reach_mm: Sequence[float], sides: Edges) -> Rect:
    """Return the area that a picture is drawn on: its trim, and its bleed on the open sides."""
    return trim_mm.inset(*(-reach * is_open for reach, is_open in zip(reach_mm, sides, strict=True)))


def open_sides(sheet: Sheet, bleeds_mm: Sequence[Size]) -> tuple[Edges, ...]:
    """Return for each placement whether its photo may bleed on each side: 1, or 0 where it ends at the trim.

    A photo may bleed on a side whose trim has a cut mark, if the printer reaches the whole bleed and a gap of
    `WHITE_MM` remains to the bleed of the next photo.

    Parameters
    ----------
    bleeds_mm
        The bleed of each photo, indexed by `Placement.item`, across and down the photo.
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
