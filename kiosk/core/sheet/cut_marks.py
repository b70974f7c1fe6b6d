"""Cutting a sheet: the straight strokes that free every photo, and the marks that guide them.

A guillotine or a rotary trimmer cuts a piece from edge to edge. Neighbouring photos need two strokes if there is a
gutter between them, and share one if there is none.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from itertools import pairwise

from kiosk.core.base.geometry import Rect

MARK_CLEARANCE_MM = 0.5
"""The minimum distance between a mark and any photo: the tolerance of a cut by hand (practice)."""
MARK_LENGTH_MM = 5.0
MARK_LEAST_MM = 0.9
"""The shortest mark that still guides a cut; a gutter of 2 mm leaves 1 mm between the clearances."""
AMBIGUOUS_MM = 1.5
"""Two marks of different blocks in one gutter are taken for each other if they lie nearer together (practice)."""

_SAME_MM = 1e-3


@dataclass(frozen=True, slots=True)
class Segment:
    """A vertical or horizontal line on the sheet: a stroke or a cut mark."""

    x0_mm: float
    y0_mm: float
    x1_mm: float
    y1_mm: float

    @property
    def rect_mm(self) -> Rect:
        """The line as a rectangle of zero width or height."""
        return Rect(self.x0_mm, self.y0_mm, self.x1_mm - self.x0_mm, self.y1_mm - self.y0_mm)

    def swapped(self) -> Segment:
        """Return the line with x and y exchanged."""
        return Segment(self.y0_mm, self.x0_mm, self.y1_mm, self.x1_mm)


@dataclass(frozen=True, slots=True)
class _Span:
    """An interval along one axis."""

    low: float
    high: float

    @property
    def first(self) -> _Span:
        """The stretch after its beginning that a mark takes."""
        return _Span(self.low, min(self.high, self.low + MARK_LENGTH_MM))

    @property
    def last(self) -> _Span:
        """The stretch before its end that a mark takes."""
        return _Span(max(self.low, self.high - MARK_LENGTH_MM), self.high)


def strokes(piece_mm: Rect, photos_mm: Sequence[Rect]) -> tuple[Segment, ...]:
    """Return the strokes that cut a piece into its photos, in the order of cutting.

    Each piece is cut along all lines of one direction, the one with fewer lines first. A plain grid of r rows and c
    columns with gutters thus takes 2 min(r, c) + 2 rc strokes.

    Raises
    ------
    ValueError
        No straight line across some piece misses every photo.
    """
    if not photos_mm or (len(photos_mm) == 1 and _same(photos_mm[0], piece_mm)):
        return ()
    upright, level = _open_lines(piece_mm, photos_mm), _open_lines(_swap(piece_mm), [_swap(r) for r in photos_mm])
    if not upright and not level:
        raise ValueError("no straight stroke parts these photos")
    if not upright or (level and len(level) < len(upright)):
        swapped = _cut(_swap(piece_mm), [_swap(photo) for photo in photos_mm], level)
        return tuple(cut.swapped() for cut in swapped)
    return _cut(piece_mm, photos_mm, upright)


def cut_marks(printable_mm: Rect, photos_mm: Sequence[Rect]) -> tuple[Segment, ...]:
    """Return two marks for every line that photos are trimmed along, one towards each end.

    A mark continues its line beyond the last photo, in the margin or in the gutter to the next block; if neither has
    room, or the next block's own line ends there within `AMBIGUOUS_MM`, it goes into the first gutter that the line
    crosses. No mark comes nearer to a photo than
    `MARK_CLEARANCE_MM`. A line without room for a mark, as on a borderless sheet without gutters, has none.
    """
    upright = _upright_marks(printable_mm, photos_mm)
    level = _upright_marks(_swap(printable_mm), [_swap(photo) for photo in photos_mm])
    marks = {*upright, *(mark.swapped() for mark in level)}
    return tuple(sorted(marks, key=lambda mark: (mark.y0_mm, mark.x0_mm, mark.y1_mm, mark.x1_mm)))


def _open_lines(piece: Rect, photos: Sequence[Rect]) -> list[float]:
    """Return the x of every vertical line inside the piece that trims a photo and crosses none."""
    edges = _distinct(edge for photo in photos for edge in (photo.x, photo.right))
    return [
        x
        for x in edges
        if piece.x + _SAME_MM < x < piece.right - _SAME_MM
        and not any(photo.x + _SAME_MM < x < photo.right - _SAME_MM for photo in photos)
    ]


def _cut(piece: Rect, photos: Sequence[Rect], xs: Sequence[float]) -> tuple[Segment, ...]:
    """Return the strokes along vertical lines, followed by those of each resulting part that holds photos."""
    cuts = [Segment(x, piece.y, x, piece.bottom) for x in xs]
    for left, right in pairwise([piece.x, *xs, piece.right]):
        part = Rect(left, piece.y, right - left, piece.height)
        cuts.extend(strokes(part, [photo for photo in photos if left < photo.centre.x < right]))
    return tuple(cuts)


def _upright_marks(printable: Rect, photos: Sequence[Rect]) -> list[Segment]:
    lines = _distinct(edge for photo in photos for edge in (photo.x, photo.right))
    runs = [(x, gaps) for x in lines for gaps in _runs(x, printable, photos)]
    marks = []
    for x, gaps in runs:
        near = [others for at, others in runs if _SAME_MM < abs(at - x) < AMBIGUOUS_MM]
        top = _chosen([gap.last for gap in gaps], [others[-1].first for others in near])
        foot = _chosen([gap.first for gap in reversed(gaps)], [others[0].last for others in near])
        marks += [Segment(x, mark.low, x, mark.high) for mark in (top, foot) if mark is not None]
    return marks


def _chosen(marks: Sequence[_Span], others: Sequence[_Span]) -> _Span | None:
    """Return the first mark that is long enough, a later one where another block's line would end beside the first."""
    long = [mark for mark in marks if mark.high - mark.low >= MARK_LEAST_MM]
    clear = (mark for mark in long if not any(mark.low < other.high and other.low < mark.high for other in others))
    return next(clear, next(iter(long), None))


def _runs(x: float, printable: Rect, photos: Sequence[Rect]) -> list[list[_Span]]:
    """Return the gaps before, between and after the photos of each run that is trimmed along one vertical line."""
    near = sorted(
        (photo for photo in photos if photo.x - MARK_CLEARANCE_MM < x < photo.right + MARK_CLEARANCE_MM),
        key=lambda photo: photo.y,
    )
    trimmed = [abs(photo.x - x) < _SAME_MM or abs(photo.right - x) < _SAME_MM for photo in near]
    gaps, clear_from = [], printable.y
    for photo in near:
        gaps.append(_Span(clear_from, photo.y - MARK_CLEARANCE_MM))
        clear_from = max(clear_from, photo.bottom + MARK_CLEARANCE_MM)
    gaps.append(_Span(clear_from, printable.bottom))
    runs: list[list[_Span]] = []
    for index, is_trimmed in enumerate(trimmed):
        if not is_trimmed:
            continue
        if index and trimmed[index - 1]:
            runs[-1].append(gaps[index + 1])
        else:
            runs.append([gaps[index], gaps[index + 1]])
    return runs


def _distinct(values: Iterable[float]) -> list[float]:
    """Return the values in ascending order; values within a micrometre of each other count as one."""
    distinct: list[float] = []
    for value in sorted(values):
        if not distinct or value - distinct[-1] > _SAME_MM:
            distinct.append(value)
    return distinct


def _swap(rect: Rect) -> Rect:
    """Return the rectangle with x and y exchanged."""
    return Rect(rect.y, rect.x, rect.height, rect.width)


def _same(one: Rect, other: Rect) -> bool:
    return one.contains(other, _SAME_MM) and other.contains(one, _SAME_MM)
