"""Imposition: how photos lie on a medium. Sizes in, places out; all lengths in millimetres.

Origin at the upper left of the sheet, which lies in the orientation of its PWG 5101.1 name.
"""

from __future__ import annotations

from dataclasses import dataclass

from kiosk.core.geometry import Rect, Size


@dataclass(frozen=True, slots=True)
class Medium:
    """A paper: its PWG 5101.1 self-describing name, the trade's short name, and its size."""

    name: str
    short: str
    size_mm: Size


@dataclass(frozen=True, slots=True)
class Margins:
    """The unprintable edges of a medium in a printer."""

    left_mm: float
    top_mm: float
    right_mm: float
    bottom_mm: float


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
class Mark:
    """A straight cut mark."""

    x0_mm: float
    y0_mm: float
    x1_mm: float
    y1_mm: float


@dataclass(frozen=True, slots=True)
class Sheet:
    """An imposed sheet."""

    medium: Medium
    printable_mm: Rect
    photos: tuple[Placement, ...]
    marks: tuple[Mark, ...]
