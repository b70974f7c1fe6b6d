"""Imposition: how photos lie on a medium. Sizes in, places out; all lengths in millimetres.

Origin at the upper left of the sheet, which lies in the orientation of its PWG 5101.1 name.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field
from functools import cache

from kiosk.core.cutting import Line, cut_marks, strokes
from kiosk.core.geometry import Rect, Size
from kiosk.errors import SheetDoesNotFit

GUTTER_MM = 2.0
"""Room between photos for two strokes of the guillotine (practice of the trade)."""
MARGIN_MM = 3.0
"""Edge kept free where the printer has not said what it can reach (practice of the trade)."""

_SPLITS = 2
_UM_PER_MM = 1000
_FUZZ_UM = 1e-6


@dataclass(frozen=True, slots=True)
class Medium:
    """A paper: its PWG 5101.1 self-describing name, the trade's short name, and its size."""

    name: str
    short: str
    size_mm: Size


@dataclass(frozen=True, slots=True)
class Margins:
    """The unprintable edges of a medium in a printer."""

    left_mm: float = MARGIN_MM
    top_mm: float = MARGIN_MM
    right_mm: float = MARGIN_MM
    bottom_mm: float = MARGIN_MM


@dataclass(frozen=True, slots=True)
class Placement:
    """One photo on the sheet; `turned` photos have their top to the right."""

    x_mm: float
    y_mm: float
    width_mm: float
    height_mm: float
    turned: bool

    @property
    def rect_mm(self) -> Rect:
        """The trim rectangle."""
        return Rect(self.x_mm, self.y_mm, self.width_mm, self.height_mm)


@dataclass(frozen=True, slots=True)
class Sheet:
    """An imposed sheet.

    Attributes
    ----------
    medium
        The paper.
    printable_mm
        What the printer can reach.
    photos
        In the order of cutting: block by block, row by row.
    marks
        Cut marks, none nearer to a photo than `cutting.MARK_CLEARANCE_MM`.
    strokes
        The guillotine's strokes, in order.
    """

    medium: Medium
    printable_mm: Rect
    photos: tuple[Placement, ...]
    marks: tuple[Line, ...]
    strokes: tuple[Line, ...] = field(default=())


@dataclass(frozen=True, slots=True)
class _Block:
    """A plain grid of photos lying one way, in whole micrometres; a ragged block lacks the end of its last row."""

    x_um: int
    y_um: int
    columns: int
    rows: int
    turned: bool
    count: int

    def moved(self, x_um: int, y_um: int) -> _Block:
        return _Block(self.x_um + x_um, self.y_um + y_um, self.columns, self.rows, self.turned, self.count)


@dataclass(frozen=True, slots=True)
class _Cell:
    """A photo with the gutters to its right and below, in whole micrometres."""

    width_um: int
    height_um: int

    def turned(self) -> _Cell:
        return _Cell(self.height_um, self.width_um)


def impose(
    medium: Medium, photo_mm: Size, margins: Margins, gutter_mm: float = GUTTER_MM, count: int | None = None
) -> Sheet:
    """Lay copies of one photo on a sheet, as many as fit or exactly `count`, centred in the printable area.

    Photos lie upright, turned, or as a guillotine mix of both where only that holds enough. Of the plain grids for a
    count the one cut with the fewest strokes is taken; on equal terms the photos stay upright.

    Raises
    ------
    SheetDoesNotFit
        The printable area holds fewer photos than asked for, or none.
    ValueError
        A size, gutter or count that is not one.
    """
    if photo_mm.width <= 0 or photo_mm.height <= 0 or gutter_mm < 0 or (count is not None and count < 1):
        raise ValueError("give a photo with a size, a gutter of 0 or more, and a count of 1 or more")
    page = Rect(0.0, 0.0, medium.size_mm.width, medium.size_mm.height)
    printable = page.inset(margins.left_mm, margins.top_mm, margins.right_mm, margins.bottom_mm)
    gutter_um = _um_up(gutter_mm)
    width_um, height_um = _um_down(printable.width) + gutter_um, _um_down(printable.height) + gutter_um
    cell = _Cell(_um_up(photo_mm.width) + gutter_um, _um_up(photo_mm.height) + gutter_um)
    most = _fill(width_um, height_um, cell, _SPLITS)
    fit = sum(block.count for block in most)
    if fit < (count or 1):
        raise SheetDoesNotFit(
            count=count or 1, width_mm=photo_mm.width, height_mm=photo_mm.height, paper=medium.short, fit=fit
        )
    grids = [] if count is None else list(_grids_of(count, width_um, height_um, cell))
    choices = grids or [tuple(_first(most, count or fit))]
    layouts = [_placed(blocks, photo_mm, cell, gutter_um, printable) for blocks in choices]
    plans = [strokes(page, [photo.rect_mm for photo in photos]) for photos in layouts]
    photos, plan = min(zip(layouts, plans, strict=True), key=lambda pair: len(pair[1]))
    return Sheet(medium, printable, photos, cut_marks(printable, [photo.rect_mm for photo in photos]), plan)


@cache
def _fill(width_um: int, height_um: int, cell: _Cell, splits: int) -> tuple[_Block, ...]:
    """Return the blocks that hold the most photos, cutting the area in two at most `splits` times over."""
    best = max(_grid(width_um, height_um, cell), _grid(width_um, height_um, cell.turned(), turned=True), key=_worth)
    bound = width_um * height_um // (cell.width_um * cell.height_um)
    if splits == 0 or sum(block.count for block in best) == bound:
        return best
    for x_um in _edges(width_um, cell):
        left, right = _fill(x_um, height_um, cell, splits - 1), _fill(width_um - x_um, height_um, cell, splits - 1)
        best = max(best, left + tuple(block.moved(x_um, 0) for block in right), key=_worth)
    for y_um in _edges(height_um, cell):
        upper, lower = _fill(width_um, y_um, cell, splits - 1), _fill(width_um, height_um - y_um, cell, splits - 1)
        best = max(best, upper + tuple(block.moved(0, y_um) for block in lower), key=_worth)
    return best


def _grid(width_um: int, height_um: int, cell: _Cell, turned: bool = False) -> tuple[_Block, ...]:
    columns, rows = max(0, width_um) // cell.width_um, max(0, height_um) // cell.height_um
    return (_Block(0, 0, columns, rows, turned, columns * rows),) if columns * rows else ()


def _worth(blocks: tuple[_Block, ...]) -> tuple[int, int]:
    return sum(block.count for block in blocks), -len(blocks)


def _edges(length_um: int, cell: _Cell) -> Iterator[int]:
    """Yield where a cut can fall with photos packed tight before it, short of the far end."""
    sides = {
        across * cell.width_um + along * cell.height_um
        for across in range(length_um // cell.width_um + 1)
        for along in range((length_um - across * cell.width_um) // cell.height_um + 1)
    }
    yield from sorted(side for side in sides if 0 < side < length_um)


def _grids_of(count: int, width_um: int, height_um: int, cell: _Cell) -> Iterator[tuple[_Block, ...]]:
    """Yield each plain grid that holds exactly `count`, its last row perhaps ragged."""
    for side, turned in ((cell, False), (cell.turned(), True)):
        for columns in range(min(count, max(0, width_um) // side.width_um), 0, -1):
            rows = math.ceil(count / columns)
            if rows * side.height_um <= height_um:
                yield (_Block(0, 0, columns, rows, turned, count),)


def _first(blocks: Iterable[_Block], count: int) -> Iterator[_Block]:
    """Yield the blocks that hold the first `count` photos."""
    for block in blocks:
        kept = min(count, block.count)
        if kept:
            yield _Block(block.x_um, block.y_um, block.columns, math.ceil(kept / block.columns), block.turned, kept)
        count -= kept


def _placed(
    blocks: tuple[_Block, ...], photo_mm: Size, cell: _Cell, gutter_um: int, printable: Rect
) -> tuple[Placement, ...]:
    """Return the photos of the blocks, as one group in the middle of the printable area."""
    corners = []
    for block in blocks:
        side = cell.turned() if block.turned else cell
        for index in range(block.count):
            row, column = divmod(index, block.columns)
            corners.append((block.x_um + column * side.width_um, block.y_um + row * side.height_um, side, block.turned))
    right_um = max(x_um + side.width_um for x_um, _, side, _ in corners) - gutter_um
    bottom_um = max(y_um + side.height_um for _, y_um, side, _ in corners) - gutter_um
    left_mm = printable.x + (printable.width - right_um / _UM_PER_MM) / 2
    top_mm = printable.y + (printable.height - bottom_um / _UM_PER_MM) / 2
    return tuple(
        Placement(
            left_mm + x_um / _UM_PER_MM,
            top_mm + y_um / _UM_PER_MM,
            photo_mm.height if turned else photo_mm.width,
            photo_mm.width if turned else photo_mm.height,
            turned,
        )
        for x_um, y_um, _, turned in corners
    )


def _um_up(length_mm: float) -> int:
    return math.ceil(length_mm * _UM_PER_MM - _FUZZ_UM)


def _um_down(length_mm: float) -> int:
    return math.floor(length_mm * _UM_PER_MM + _FUZZ_UM)
