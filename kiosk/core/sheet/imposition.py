"""Imposition: how copies of a photo are laid out on a medium. All lengths are in millimetres.

The origin is the upper left corner of the sheet, which lies in the orientation of its PWG 5101.1 name.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import astuple, dataclass, replace
from itertools import chain

from kiosk.core.base.geometry import Rect, Size
from kiosk.core.sheet.cut_marks import Segment, cut_marks, strokes
from kiosk.core.sheet.guillotine_fill import Cell, GridBlock, fullest
from kiosk.core.sheet.pixel_grid import PixelGrid, steps_for
from kiosk.errors import SheetDoesNotFit

GUTTER_MM = 2.0
"""The gap between photos, wide enough for two strokes of the guillotine (practice of the trade)."""
MARGIN_MM = 3.0
"""The margin assumed where the printer does not report its own (practice of the trade)."""


@dataclass(frozen=True, slots=True)
class Medium:
    """A paper: its self-describing name of PWG 5101.1, the trade's short name, and its size."""

    name: str
    short: str
    size_mm: Size


@dataclass(frozen=True, slots=True)
class Margins:
    """The unprintable margins of a medium in a printer."""

    left_mm: float = MARGIN_MM
    top_mm: float = MARGIN_MM
    right_mm: float = MARGIN_MM
    bottom_mm: float = MARGIN_MM


@dataclass(frozen=True, slots=True)
class Placement:
    """One photo on the sheet; the top of a `turned` photo points to the right.

    `item` is the index of the photo among several different ones on the sheet, in the order they were requested.
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
class PhotoCopies:
    """A number of copies of one photo."""

    photo_mm: Size
    count: int


@dataclass(frozen=True, slots=True)
class Sheet:
    """An imposed sheet.

    Attributes
    ----------
    medium
        The paper.
    printable_mm
        The area the printer can reach.
    photos
        The placements in the order of cutting: block by block, row by row.
    marks
        Cut marks, none nearer to a photo than `cut_marks.MARK_CLEARANCE_MM`.
    strokes
        The guillotine's strokes in the order of cutting.
    captions_mm
        The place kept for the caption of each different photo, indexed by `Placement.item`; empty if none is kept.
    """

    medium: Medium
    printable_mm: Rect
    photos: tuple[Placement, ...]
    marks: tuple[Segment, ...]
    strokes: tuple[Segment, ...]
    captions_mm: tuple[Rect, ...] = ()


@dataclass(frozen=True, slots=True)
class _Raster:
    """The printable area in steps of the pixel grid, and the photo to lay out on it.

    Width and height include one gutter more than is there, so that every photo can be counted with its own.
    """

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
    def cell(self) -> Cell:
        sides = (self.photo_mm.width, self.photo_mm.height)
        return Cell(*(self.steps.up(side + self.gutter_mm) for side in sides))

    @property
    def fullest(self) -> tuple[GridBlock, ...]:
        """The blocks that hold the most photos."""
        return fullest(self.width, self.height, self.cell)

    def grids(self, count: int) -> Iterator[tuple[GridBlock, ...]]:
        """Yield each plain grid of exactly `count` photos; its last row may be incomplete."""
        for side, turned in ((self.cell, False), (self.cell.turned(), True)):
            for columns in range(min(count, self.width // side.width), 0, -1):
                rows = math.ceil(count / columns)
                if rows * side.height <= self.height:
                    yield (GridBlock(0, 0, columns, rows, turned, count),)

    def mix(self, count: int) -> Iterator[tuple[GridBlock, ...]]:
        """Yield the first `count` photos of the fullest layout, if it holds that many."""
        blocks = []
        for block in self.fullest:
            if count > 0:
                blocks.append(block.first(min(count, block.count)))
                count -= blocks[-1].count
        if count == 0:
            yield tuple(blocks)

    def placed(self, blocks: tuple[GridBlock, ...]) -> tuple[Placement, ...]:
        """Return the photos of the blocks, centred as one group in the printable area."""
        photos = [photo for block in blocks for photo in self._photos(block)]
        return centred(photos, self.printable_mm, self.steps)

    def _photos(self, block: GridBlock) -> Iterator[Placement]:
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

    Photos lie upright or turned; a guillotine mix of both is used only where no plain grid holds enough. Of the plain
    grids for a count, the one with the fewest strokes wins; of equals, the one with upright photos.

    A printer paints every pixel that a photo touches, so that one starting inside a pixel comes out a pixel larger.
    The upper left corners therefore lie on whole pixels of 300 per inch, counted from the sheet's own corner, or of
    600 per inch if that leaves too little room. For this, gutters grow by less than a pixel and never shrink. Photos
    without a gutter touch each other, on or off the pixel grid.

    Raises
    ------
    SheetDoesNotFit
        The printable area holds fewer photos than requested, or none.
    ValueError
        A size, margin, gutter or count is out of range.
    """
    check_lengths(photo_mm, margins, gutter_mm)
    if count is not None and count < 1:
        raise ValueError("give a count of 1 or more")
    printable = printable_area(medium, margins)
    rasters = [_Raster(printable, photo_mm, gutter_mm, steps) for steps in steps_for(gutter_mm)]
    fit = sum(block.count for block in rasters[-1].fullest)
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
    """Check that photo, margins and gutter have usable lengths.

    Raises
    ------
    ValueError
        The photo has no size, or a margin or the gutter is negative or infinite.
    """
    if not (0 < photo_mm.width < math.inf and 0 < photo_mm.height < math.inf and 0 <= gutter_mm < math.inf):
        raise ValueError("give a photo with a size, and a gutter of 0 or more")
    if not all(0 <= edge < math.inf for edge in astuple(margins)):
        raise ValueError("give margins of 0 or more")


def printable_area(medium: Medium, margins: Margins) -> Rect:
    """Return the area of a medium that a printer can reach."""
    return _page(medium).inset(*astuple(margins))


def centred(photos: Sequence[Placement], printable_mm: Rect, steps: PixelGrid) -> tuple[Placement, ...]:
    """Centre photos that were laid out from the origin, as one group, in the printable area."""
    width, height = (max(ends) for ends in zip(*((p.rect_mm.right, p.rect_mm.bottom) for p in photos), strict=True))
    left_mm = steps.middle_mm(printable_mm.x, printable_mm.right, width)
    top_mm = steps.middle_mm(printable_mm.y, printable_mm.bottom, height)
    return tuple(replace(photo, x_mm=left_mm + photo.x_mm, y_mm=top_mm + photo.y_mm) for photo in photos)


def best_cut(medium: Medium, printable_mm: Rect, layouts: Sequence[tuple[Placement, ...]]) -> Sheet:
    """Return the layout with the fewest strokes, or the first of several, as a sheet with its marks."""
    page = _page(medium)
    plans = [strokes(page, [photo.rect_mm for photo in photos]) for photos in layouts]
    photos, plan = min(zip(layouts, plans, strict=True), key=lambda pair: len(pair[1]))
    return Sheet(medium, printable_mm, photos, cut_marks(printable_mm, [photo.rect_mm for photo in photos]), plan)


def _page(medium: Medium) -> Rect:
    return Rect(0.0, 0.0, medium.size_mm.width, medium.size_mm.height)
