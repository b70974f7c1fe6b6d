"""PDF operators and operands as text (ISO 32000-1, 8.5): lengths are in the page's own millimetres."""

from __future__ import annotations

from collections.abc import Sequence

from kiosk.core.base.geometry import Rect
from kiosk.render.drawing.canvas import Colour


def filled(path: str, x_mm: float, y_mm: float, colour: Colour) -> str:
    """Return operators that fill a path in millimetres, its origin moved to (x, y)."""
    return f"q {rgb(colour)} rg 1 0 0 1 {operand(x_mm)} {operand(y_mm)} cm\n{path}f Q"


def path_of(points_mm: Sequence[tuple[float, float]]) -> str:
    """Return operators that lay a path from point to point."""
    places = [f"{operand(x)} {operand(y)}" for x, y in points_mm]
    return " ".join([f"{places[0]} m", *(f"{place} l" for place in places[1:])])


def sides_of(rect: Rect) -> str:
    """Return a rectangle's operands."""
    return " ".join(operand(side) for side in (rect.x, rect.y, rect.width, rect.height))


def operand(value: float) -> str:
    """Format a length to the nanometre."""
    return f"{value:.6f}".rstrip("0").rstrip(".")


def rgb(colour: Colour) -> str:
    """Return the operands of a colour."""
    return " ".join(f"{part:.3f}" for part in colour)
