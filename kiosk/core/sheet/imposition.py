"""Imposition: how photos lie on a medium. Sizes in, places out; all lengths in millimetres.

Origin at the upper left of the sheet, which lies in the orientation of its PWG 5101.1 name.
"""

from __future__ import annotations

import math
from bisect import bisect_right
from collections.abc import Iterator, Sequence
from dataclasses import astuple, dataclass, replace
from functools import cache
from itertools import chain

from kiosk.core.base.geometry import Rect, Size
from kiosk.core.sheet.cut_marks import Segment, cut_marks, strokes
from kiosk.core.sheet.pixel_grid import PixelGrid, steps_for
from kiosk.errors import SheetDoesNotFit

GUTTER_MM = 2.0
"""Room between photos for two strokes of the guillotine (practice of the trade)."""
MARGIN_MM = 3.0
"""Edge kept free where the printer has not said what it can reach (practice of the trade)."""

_SPLITS = 2


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
    """One photo on the sheet; `turned` photos have their top to the right.

    `item` tells which of several photos it is, in the order asked for.
    """

    x_mm: float
    y_mm: float
    width_mm: float
    height_mm: float
    turned: bool
    item: int = 0

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
    marks: tuple[Segment, ...]
    strokes: tuple[Segment, ...]


@dataclass(frozen=True, slots=True)
class _Block:
    """A plain grid of photos lying one way, in whole steps; a ragged block lacks the end of its last row."""

    x: int
    y: int
    columns: int
    rows: int
    turned: bool
    count: int

    def moved(self, x: int, y: int) -> _Block:
        return replace(self, x=self.x + x, y=self.y + y)

    def first(self, count: int) -> _Block:
        """Return the block with its first photos only."""
        return replace(self, rows=math.ceil(count / self.columns), count=count)


@dataclass(frozen=True, slots=True)
class _Cell:
    """A photo with the gutters to its right and below, in whole steps."""

    width: int
    height: int

    def turned(self) -> _Cell:
        return _Cell(self.height, self.width)


@dataclass(frozen=True, slots=True)
class _Raster:
    """The printable area in whole steps, the last gutter included, and the photos that lie on it."""

    printable_mm: Rect
    photo_mm: Size
    gutter_mm: float
    steps: PixelGrid

    @property
    def width(self) -> int:
        return self.steps.down(self.printable_mm.width) + self.steps.down(self.gutter_mm)

    @property
    def height(self) -> int:
        return self.steps.down(self.printable_mm.height) + self.steps.down(self.gutter_mm)

    @property
    def cell(self) -> _Cell:
        sides = (self.photo_mm.width, self.photo_mm.height)
        return _Cell(*(self.steps.up(side + self.gutter_mm) for side in sides))

    @property
    def most(self) -> tuple[_Block, ...]:
        """The blocks that hold the most photos."""
        return _fill(self.width, self.height, self.cell, _SPLITS)

    def grids(self, count: int) -> Iterator[tuple[_Block, ...]]:
        """Yield each plain grid that holds exactly `count`, its last row perhaps ragged."""
        for side, turned in ((self.cell, False), (self.cell.turned(), True)):
            for columns in range(min(count, self.width // side.width), 0, -1):
                rows = math.ceil(count / columns)
                if rows * side.height <= self.height:
                    yield (_Block(0, 0, columns, rows, turned, count),)

    def mix(self, count: int) -> Iterator[tuple[_Block, ...]]:
        """Yield the first `count` photos of the blocks that hold the most, if they are so many."""
        kept = []
        for block in self.most:
            if count > 0:
                kept.append(block.first(min(count, block.count)))
                count -= kept[-1].count
        if count == 0:
            yield tuple(kept)

    def placed(self, blocks: tuple[_Block, ...]) -> tuple[Placement, ...]:
        """Return the photos of the blocks, as one group in the middle of the printable area."""
        photos = [photo for block in blocks for photo in self._photos(block)]
        return centred(photos, self.printable_mm, self.steps)

    def _photos(self, block: _Block) -> Iterator[Placement]:
        cell = self.cell.turned() if block.turned else self.cell
        size = self.photo_mm.turned() if block.turned else self.photo_mm
        for index in range(block.count):
            row, column = divmod(index, block.columns)
            x_mm, y_mm = (block.x + column * cell.width) * self.steps.mm, (block.y + row * cell.height) * self.steps.mm
            yield Placement(x_mm, y_mm, size.width, size.height, block.turned)


def impose(
    medium: Medium, photo_mm: Size, margins: Margins, gutter_mm: float = GUTTER_MM, count: int | None = None
) -> Sheet:
    """Lay copies of one photo on a sheet, as many as fit or exactly `count`, centred in the printable area.

    Photos lie upright, turned, or as a guillotine mix of both where only that holds enough. Of the plain grids for a
    count the one cut with the fewest strokes is taken; on equal terms the photos stay upright.

    Where there is room for it the photos' upper left corners lie on whole pixels of 300 per inch, counted from the
    sheet's own corner, else of 600 per inch: a printer paints every pixel that a photo touches, so one that begins
    inside a pixel comes out larger by it. Gutters grow by less than a pixel for that, and never shrink; photos
    without a gutter touch, wherever that is.

    Raises
    ------
    SheetDoesNotFit
        The printable area holds fewer photos than asked for, or none.
    ValueError
        A size, margin, gutter or count that is not one.
    """
    check_lengths(photo_mm, margins, gutter_mm)
    if count is not None and count < 1:
        raise ValueError("give a count of 1 or more")
    printable = printable_area(medium, margins)
    rasters = [_Raster(printable, photo_mm, gutter_mm, steps) for steps in steps_for(gutter_mm)]
    fit = sum(block.count for block in rasters[-1].most)
    if fit < (count or 1):
        raise SheetDoesNotFit(
            count=count or 1, width_mm=photo_mm.width, height_mm=photo_mm.height, paper=medium.short, fit=fit
        )
    plain = [(raster, list(raster.grids(count))) for raster in rasters if count]
    mixed = ((raster, list(raster.mix(count or fit))) for raster in rasters)
    raster, choices = next((raster, choices) for raster, choices in chain(plain, mixed) if choices)
    layouts = [raster.placed(blocks) for blocks in choices]
    return best_cut(medium, printable, layouts)


def check_lengths(photo_mm: Size, margins: Margins, gutter_mm: float) -> None:
    """Refuse what is no length.

    Raises
    ------
    ValueError
        A photo without a size, a negative margin or gutter, or one without end.
    """
    if not (0 < photo_mm.width < math.inf and 0 < photo_mm.height < math.inf and 0 <= gutter_mm < math.inf):
        raise ValueError("give a photo with a size, and a gutter of 0 or more")
    if not all(0 <= edge < math.inf for edge in astuple(margins)):
        raise ValueError("give margins of 0 or more")


def printable_area(medium: Medium, margins: Margins) -> Rect:
    """Return what a printer reaches of a medium."""
    return _page(medium).inset(*astuple(margins))


def centred(photos: Sequence[Placement], printable_mm: Rect, steps: PixelGrid) -> tuple[Placement, ...]:
    """Return photos, laid from the origin, as one group in the middle of the printable area."""
    width, height = (max(ends) for ends in zip(*((p.rect_mm.right, p.rect_mm.bottom) for p in photos), strict=True))
    left_mm = steps.middle_mm(printable_mm.x, printable_mm.right, width)
    top_mm = steps.middle_mm(printable_mm.y, printable_mm.bottom, height)
    return tuple(replace(photo, x_mm=left_mm + photo.x_mm, y_mm=top_mm + photo.y_mm) for photo in photos)


def best_cut(medium: Medium, printable_mm: Rect, layouts: Sequence[tuple[Placement, ...]]) -> Sheet:
    """Return the layout that is cut with the fewest strokes, the first of equals, as a sheet with its marks."""
    page = _page(medium)
    plans = [strokes(page, [photo.rect_mm for photo in photos]) for photos in layouts]
    photos, plan = min(zip(layouts, plans, strict=True), key=lambda pair: len(pair[1]))
    return Sheet(medium, printable_mm, photos, cut_marks(printable_mm, [photo.rect_mm for photo in photos]), plan)


def _page(medium: Medium) -> Rect:
    return Rect(0.0, 0.0, medium.size_mm.width, medium.size_mm.height)


@cache
def _fill(width: int, height: int, cell: _Cell, splits: int) -> tuple[_Block, ...]:
    """Return the blocks that hold the most photos, cutting the area in two at most `splits` times over."""
    best = max(_grid(width, height, cell), _grid(width, height, cell.turned(), turned=True), key=_worth)
    bound = width * height // (cell.width * cell.height)
    if splits == 0 or sum(block.count for block in best) == bound:
        return best
    for x, rest in _cuts(width, cell):
        left, right = _fill(x, height, cell, splits - 1), _fill(rest, height, cell, splits - 1)
        best = max(best, left + tuple(block.moved(x, 0) for block in right), key=_worth)
    for y, rest in _cuts(height, cell):
        upper, lower = _fill(width, y, cell, splits - 1), _fill(width, rest, cell, splits - 1)
        best = max(best, upper + tuple(block.moved(0, y) for block in lower), key=_worth)
    return best


def _grid(width: int, height: int, cell: _Cell, turned: bool = False) -> tuple[_Block, ...]:
    columns, rows = width // cell.width, height // cell.height
    return (_Block(0, 0, columns, rows, turned, columns * rows),) if columns * rows else ()


def _worth(blocks: tuple[_Block, ...]) -> tuple[int, int]:
    return sum(block.count for block in blocks), -len(blocks)


@cache
def _cuts(length: int, cell: _Cell) -> tuple[tuple[int, int], ...]:
    """Return where a cut can fall, no further than the middle, with what photos can fill on either side of it.

    Photos packed tight end at whole numbers of widths and heights; a cut anywhere else, or beyond the middle, repeats
    one of these.
    """
    ends = sorted(
        across * cell.width + along * cell.height
        for across in range(length // cell.width + 1)
        for along in range((length - across * cell.width) // cell.height + 1)
    )
    halves = dict.fromkeys(end for end in ends if 0 < end <= length / 2)
    return tuple((end, ends[bisect_right(ends, length - end) - 1]) for end in halves)
