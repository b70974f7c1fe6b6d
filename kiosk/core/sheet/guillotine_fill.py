"""The mix of upright and turned photos that fills an area best, where each cut of a guillotine goes right across.

Lengths are whole steps of a pixel grid, so that sums of them are exact.
"""

from __future__ import annotations

import math
from bisect import bisect_right
from dataclasses import dataclass, replace
from functools import cache

_SPLITS = 2
"""How many times over an area may be cut in two in search of a mix of upright and turned photos."""


@dataclass(frozen=True, slots=True)
class GridBlock:
    """A grid of photos of one orientation, in steps of the pixel grid; its last row may be incomplete."""

    x: int
    y: int
    columns: int
    rows: int
    turned: bool
    count: int

    def moved(self, x: int, y: int) -> GridBlock:
        """Return the block with its corner moved."""
        return replace(self, x=self.x + x, y=self.y + y)

    def first(self, count: int) -> GridBlock:
        """Return the block reduced to its first `count` photos."""
        return replace(self, rows=math.ceil(count / self.columns), count=count)


@dataclass(frozen=True, slots=True)
class Cell:
    """A photo with the gutters to its right and below, in steps of the pixel grid."""

    width: int
    height: int

    def turned(self) -> Cell:
        """Return the cell of a turned photo."""
        return Cell(self.height, self.width)


def fullest(width: int, height: int, cell: Cell) -> tuple[GridBlock, ...]:
    """Return the blocks that hold the most photos on an area."""
    return _fill(width, height, cell, _SPLITS)


@cache
def _fill(width: int, height: int, cell: Cell, splits: int) -> tuple[GridBlock, ...]:
    """Return the blocks that hold the most photos, after cutting the area in two at most `splits` times over."""
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


def _grid(width: int, height: int, cell: Cell, turned: bool = False) -> tuple[GridBlock, ...]:
    columns, rows = width // cell.width, height // cell.height
    return (GridBlock(0, 0, columns, rows, turned, columns * rows),) if columns * rows else ()


def _worth(blocks: tuple[GridBlock, ...]) -> tuple[int, int]:
    return sum(block.count for block in blocks), -len(blocks)


@cache
def _cuts(length: int, cell: Cell) -> tuple[tuple[int, int], ...]:
    """Return the cuts worth trying, up to the middle: the length before each, and the usable length behind it.

    Tightly packed photos end at sums of whole widths and heights, so a cut anywhere else gains nothing; one beyond the
    middle mirrors one before it.
    """
    ends = sorted(
        across * cell.width + along * cell.height
        for across in range(length // cell.width + 1)
        for along in range((length - across * cell.width) // cell.height + 1)
    )
    halves = dict.fromkeys(end for end in ends if 0 < end <= length / 2)
    return tuple((end, ends[bisect_right(ends, length - end) - 1]) for end in halves)
