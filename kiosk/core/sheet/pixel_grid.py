"""Lengths in whole steps of a grid, so that photos can start on whole pixels of a printer."""

from __future__ import annotations

import math
from dataclasses import dataclass

from kiosk.core.base.units import MM_PER_INCH

_FUZZ = 1e-6


@dataclass(frozen=True, slots=True)
class PixelGrid:
    """A grid counted from the sheet's own corner; `mm` is its step."""

    mm: float

    def down(self, length_mm: float) -> int:
        """Return a length in steps, rounded down."""
        return max(0, math.floor(length_mm / self.mm + _FUZZ))

    def up(self, length_mm: float) -> int:
        """Return a length in steps, rounded up."""
        return math.ceil(length_mm / self.mm - _FUZZ)

    def middle_mm(self, low_mm: float, high_mm: float, length_mm: float) -> float:
        """Return where a centred length starts, rounded to the nearest step if that keeps it inside."""
        middle_mm = low_mm + (high_mm - low_mm - length_mm) / 2
        start_mm = round(middle_mm / self.mm) * self.mm
        is_inside = start_mm >= low_mm - _FUZZ and start_mm + length_mm <= high_mm + _FUZZ
        return start_mm if is_inside else middle_mm


_FINEST = PixelGrid(0.001)


def steps_for(gutter_mm: float) -> tuple[PixelGrid, ...]:
    """Return the grids to try, best first: pixels of 300 and 600 per inch, then a micrometre.

    Photos without a gutter must touch, which the coarser grids cannot promise; they are laid out in micrometres.
    """
    return (PixelGrid(MM_PER_INCH / 300), PixelGrid(MM_PER_INCH / 600), _FINEST) if gutter_mm > 0 else (_FINEST,)
