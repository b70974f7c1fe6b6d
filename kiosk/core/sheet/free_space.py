"""The free space of a sheet: empty rectangles between and beside the photos, for the notes printed there."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import combinations

from kiosk.core.base.geometry import Rect, Size

_SLIVER_MM = 1e-6


def free_rects(area: Rect, taken: Sequence[Rect]) -> list[Rect]:
    """Return the maximal empty rectangles of an area, sorted by their shorter side, longest first."""
    found = {rect for rect in _bands(area, taken) if min(rect.width, rect.height) > _SLIVER_MM}
    largest: list[Rect] = []
    for rect in sorted(found, key=lambda rect: (-rect.width * rect.height, rect.y, rect.x)):
        if not any(other.contains(rect, _SLIVER_MM) for other in largest):
            largest.append(rect)
    return sorted(
        largest, key=lambda rect: (-min(rect.width, rect.height), -max(rect.width, rect.height), rect.y, rect.x)
    )


def room_for(size: Size, free: Sequence[Rect]) -> tuple[Rect, bool] | None:
    """Return a rectangle of that size centred in the first free one that holds it, and whether it had to be turned."""
    for rect in free:
        for side, turned in ((size, False), (size.turned(), True)):
            if side.width <= rect.width and side.height <= rect.height:
                centre = rect.centre
                x, y = centre.x - side.width / 2, centre.y - side.height / 2
                return Rect(x, y, side.width, side.height), turned
    return None


def _bands(area: Rect, taken: Sequence[Rect]) -> Iterator[Rect]:
    """Yield the gaps, from top to bottom, of every vertical band between two edges."""
    edges = {area.x, area.right}
    for rect in taken:
        edges |= {edge for edge in (rect.x, rect.right) if area.x < edge < area.right}
    for left, right in combinations(sorted(edges), 2):
        top = area.y
        for rect in sorted((rect for rect in taken if rect.x < right and rect.right > left), key=lambda rect: rect.y):
            if rect.y > top:
                yield Rect(left, top, right - left, min(rect.y, area.bottom) - top)
            top = max(top, rect.bottom)
        yield Rect(left, top, right - left, area.bottom - top)
