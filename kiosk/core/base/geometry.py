"""Points, rectangles and ranges.

A variable's suffix names its frame of reference: `_px` for the picture, `_mm` for the print, `sheet_mm` for the sheet.
Every frame has its origin at the upper left, with x to the right and y down; (0, 0) px is the outer corner of the
first pixel, not its centre.
"""

from __future__ import annotations

import math
from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Point:
    """A point in one frame of reference."""

    x: float
    y: float

    def distance(self, other: Point) -> float:
        """Return the Euclidean distance to `other`."""
        return math.hypot(self.x - other.x, self.y - other.y)

    def midpoint(self, other: Point) -> Point:
        """Return the point halfway."""
        return Point((self.x + other.x) / 2, (self.y + other.y) / 2)

    def scaled(self, factor: float) -> Point:
        """Return the point with both coordinates multiplied."""
        return Point(self.x * factor, self.y * factor)


@dataclass(frozen=True, slots=True)
class Size:
    """A width and a height in one unit."""

    width: float
    height: float

    def turned(self) -> Size:
        """Return the size after a quarter turn."""
        return Size(self.height, self.width)


@dataclass(frozen=True, slots=True)
class Rect:
    """An axis-parallel rectangle."""

    x: float
    y: float
    width: float
    height: float

    @property
    def right(self) -> float:
        """The x of the right edge."""
        return self.x + self.width

    @property
    def bottom(self) -> float:
        """The y of the lower edge."""
        return self.y + self.height

    @property
    def centre(self) -> Point:
        """The centre."""
        return Point(self.x + self.width / 2, self.y + self.height / 2)

    def contains(self, other: Rect, slack: float = 1e-9) -> bool:
        """Return whether `other` lies inside, edges included."""
        return (
            other.x >= self.x - slack
            and other.y >= self.y - slack
            and other.right <= self.right + slack
            and other.bottom <= self.bottom + slack
        )

    def overlaps(self, other: Rect, slack: float = 1e-9) -> bool:
        """Return whether the interiors intersect; rectangles that only touch do not overlap."""
        return (
            self.x < other.right - slack
            and other.x < self.right - slack
            and self.y < other.bottom - slack
            and other.y < self.bottom - slack
        )

    def inset(self, left: float, top: float, right: float, bottom: float) -> Rect:
        """Return the rectangle with each edge moved inwards, or outwards by a negative amount."""
        return Rect(self.x + left, self.y + top, self.width - left - right, self.height - top - bottom)

    def grown(self, by: float) -> Rect:
        """Return the rectangle with every edge moved outwards."""
        return self.inset(-by, -by, -by, -by)

    def intersection(self, other: Rect) -> Rect:
        """Return the part that two overlapping rectangles have in common."""
        left, top = max(self.x, other.x), max(self.y, other.y)
        return Rect(left, top, min(self.right, other.right) - left, min(self.bottom, other.bottom) - top)

    def around(self, other: Rect) -> Rect:
        """Return the smallest rectangle that holds both."""
        left, top = min(self.x, other.x), min(self.y, other.y)
        return Rect(left, top, max(self.right, other.right) - left, max(self.bottom, other.bottom) - top)


@dataclass(frozen=True, slots=True)
class Range:
    """A closed interval; None stands for an unbounded end."""

    low: float | None
    high: float | None

    @property
    def is_empty(self) -> bool:
        """Whether no value lies inside."""
        return self.low is not None and self.high is not None and self.low > self.high

    @property
    def width(self) -> float | None:
        """The distance between the ends, or None where an end is unbounded."""
        return None if self.low is None or self.high is None else self.high - self.low

    @property
    def middle(self) -> float:
        """The middle of a two-sided range, or its only end."""
        ends = [end for end in (self.low, self.high) if end is not None]
        return sum(ends) / len(ends)

    def contains(self, value: float) -> bool:
        """Return whether `value` lies inside, ends included."""
        return (self.low is None or value >= self.low) and (self.high is None or value <= self.high)

    def scaled(self, factor: float) -> Range:
        """Return the range with both ends multiplied by a positive factor."""
        return Range(None if self.low is None else self.low * factor, None if self.high is None else self.high * factor)

    def intersection(self, other: Range) -> Range:
        """Return the range of values that lie in both."""
        lows = [low for low in (self.low, other.low) if low is not None]
        highs = [high for high in (self.high, other.high) if high is not None]
        return Range(max(lows, default=None), min(highs, default=None))
