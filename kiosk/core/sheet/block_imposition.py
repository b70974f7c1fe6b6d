"""Imposition in blocks: the copies of each photo lie together, with room for their own cut marks and a caption.

Blocks are put side by side and one below the other in all ways in which straight strokes from edge to edge part them
(slicing floorplans, Stockmeyer 1983, Information and Control 57), in the order in which the photos were ordered.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

from kiosk.core.base.geometry import Rect, Size
from kiosk.core.sheet.cut_marks import Segment, cut_marks, strokes
from kiosk.core.sheet.imposition import (
    GUTTER_MM,
    Margins,
    Medium,
    PhotoCopies,
    Placement,
    Sheet,
    check_lengths,
    printable_area,
)
from kiosk.core.sheet.pixel_grid import PixelGrid, steps_for
from kiosk.errors import PhotosDoNotFit

PAD_MM = 4.0
"""The room around the photos of a block, for its cut marks and for a gap to the next block's (practice)."""
CAPTION_MM = 3.0
"""The height of a block's caption."""
APART_MM = 1.0
"""The distance from a mark to the edge of its block: two blocks' marks are twice as far apart, and half as far from
their own photos."""

_BEAM_WIDTH = 6
"""How many shapes of a group of blocks are kept, the smallest first."""
_COMPARED = 3
"""How many layouts are compared by their strokes."""


@dataclass(frozen=True, slots=True)
class _Block:
    """The copies of one photo as a grid, in steps of the pixel grid; its last row may be incomplete."""

    item: int
    columns: int
    turned: bool
    width: int
    height: int
    x: int = 0
    y: int = 0


@dataclass(frozen=True, slots=True)
class _Shape:
    """One block, or two shapes one `beside` or below the other, and the area that they take."""

    width: int
    height: int
    parts: tuple[_Block] | tuple[_Shape, _Shape]
    beside: bool = False

    def blocks(self, x: int, y: int) -> Iterator[_Block]:
        """Yield the blocks in their places, with the shape's upper left corner at (x, y)."""
        first, *rest = self.parts
        if isinstance(first, _Block):
            yield replace(first, x=x, y=y)
            return
        yield from first.blocks(x, y)
        for other in rest:
            assert isinstance(other, _Shape)
            yield from other.blocks(x + first.width * self.beside, y + first.height * (not self.beside))


@dataclass(frozen=True, slots=True)
class _Area:
    """The printable area, and the steps of the pixel grid that lengths are counted in."""

    printable_mm: Rect
    gutter_mm: float
    steps: PixelGrid

    def shapes(self, orders: Sequence[PhotoCopies]) -> list[_Shape]:
        """Return shapes that hold a block of each order inside the printable area."""
        found: dict[tuple[int, int], list[_Shape]] = {}
        for length in range(1, len(orders) + 1):
            for start in range(len(orders) - length + 1):
                end = start + length
                shapes = (
                    self._grids(start, orders[start])
                    if length == 1
                    else (
                        joined
                        for split in range(start + 1, end)
                        for one in found[start, split]
                        for other in found[split, end]
                        for joined in (
                            _Shape(one.width + other.width, max(one.height, other.height), (one, other), True),
                            _Shape(max(one.width, other.width), one.height + other.height, (one, other)),
                        )
                    )
                )
                found[start, end] = self._best(shapes)
        return found[0, len(orders)]

    def cell(self, photo_mm: Size, turned: bool) -> tuple[int, int]:
        """Return the sides of a photo with the gutters to its right and below."""
        size = photo_mm.turned() if turned else photo_mm
        return self.steps.up(size.width + self.gutter_mm), self.steps.up(size.height + self.gutter_mm)

    def _grids(self, item: int, order: PhotoCopies) -> Iterator[_Shape]:
        pads, caption = 2 * self.steps.up(PAD_MM), self.steps.up(CAPTION_MM)
        gutter = self.steps.down(self.gutter_mm)
        for turned in (False, True) if order.photo_mm.width != order.photo_mm.height else (False,):
            across, down = self.cell(order.photo_mm, turned)
            for rows in range(1, order.count + 1):
                columns = math.ceil(order.count / rows)
                width = columns * across - gutter + pads
                height = math.ceil(order.count / columns) * down - gutter + pads + caption
                yield _Shape(width, height, (_Block(item, columns, turned, width, height),))

    def _best(self, shapes: Iterator[_Shape]) -> list[_Shape]:
        """Return the shapes that fit and that no other one lies within, the smallest first."""
        width, height = self.steps.down(self.printable_mm.width), self.steps.down(self.printable_mm.height)
        fitting = (shape for shape in shapes if shape.width <= width and shape.height <= height)
        kept: list[_Shape] = []
        for shape in sorted(fitting, key=lambda shape: (shape.width * shape.height, shape.width)):
            if not any(other.width <= shape.width and other.height <= shape.height for other in kept):
                kept.append(shape)
        return kept[:_BEAM_WIDTH]


def impose_blocks(
    medium: Medium, orders: Sequence[PhotoCopies], margins: Margins, gutter_mm: float = GUTTER_MM
) -> Sheet:
    """Lay a block of each order on one sheet, in exactly the ordered numbers; `Placement.item` is the order's index.

    Every trimmed line of a block has marks at both of its ends, none of them nearer to another block than
    `APART_MM`. Of the smallest layouts, the one with the fewest strokes wins.

    Raises
    ------
    PhotosDoNotFit
        The printable area has no room for the blocks with their marks and captions.
    ValueError
        There is no order, or a size, margin, gutter or count is out of range.
    """
    if not orders or any(order.count < 1 for order in orders):
        raise ValueError("give one order or more, each of 1 or more")
    for order in orders:
        check_lengths(order.photo_mm, margins, gutter_mm)
    area = _Area(printable_area(medium, margins), gutter_mm, steps_for(gutter_mm)[0])
    sheets = [_sheet(medium, area, shape, orders) for shape in area.shapes(orders)[:_COMPARED]]
    if sheets:
        return min(sheets, key=lambda sheet: len(sheet.strokes))
    wanted = " and ".join(f"{o.count} of {o.photo_mm.width:g} x {o.photo_mm.height:g} mm" for o in orders)
    raise PhotosDoNotFit(photos=wanted, paper=medium.short)


def _sheet(medium: Medium, area: _Area, shape: _Shape, orders: Sequence[PhotoCopies]) -> Sheet:
    """Return a shape as a sheet, centred in the printable area."""
    step, printable = area.steps.mm, area.printable_mm
    left_mm = area.steps.middle_mm(printable.x, printable.right, shape.width * step)
    top_mm = area.steps.middle_mm(printable.y, printable.bottom, shape.height * step)
    photos: list[Placement] = []
    marks: list[Segment] = []
    captions: list[Rect] = []
    for block in sorted(shape.blocks(0, 0), key=lambda block: block.item):
        x_mm, y_mm = left_mm + block.x * step, top_mm + block.y * step
        outer = Rect(x_mm, y_mm, block.width * step, block.height * step)
        own = tuple(_photos(block, orders[block.item], area, outer))
        photos += own
        inner = outer.inset(APART_MM, CAPTION_MM + APART_MM, APART_MM, APART_MM)
        marks += cut_marks(inner, [photo.rect_mm for photo in own])
        captions.append(Rect(x_mm + APART_MM, y_mm, outer.width - 2 * APART_MM, CAPTION_MM))
    page = Rect(0.0, 0.0, medium.size_mm.width, medium.size_mm.height)
    plan = strokes(page, [photo.rect_mm for photo in photos])
    return Sheet(medium, printable, tuple(photos), tuple(marks), plan, tuple(captions))


def _photos(block: _Block, order: PhotoCopies, area: _Area, outer_mm: Rect) -> Iterator[Placement]:
    size = order.photo_mm.turned() if block.turned else order.photo_mm
    across, down = area.cell(order.photo_mm, block.turned)
    step = area.steps.mm
    left = outer_mm.x + area.steps.up(PAD_MM) * step
    top = outer_mm.y + (area.steps.up(CAPTION_MM) + area.steps.up(PAD_MM)) * step
    for index in range(order.count):
        row, column = divmod(index, block.columns)
        x_mm, y_mm = left + column * across * step, top + row * down * step
        yield Placement(x_mm, y_mm, size.width, size.height, block.turned, block.item)
