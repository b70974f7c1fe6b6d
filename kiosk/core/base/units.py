"""Conversions between millimetres, inches, points and pixels.

One inch is exactly 25.4 mm (international inch, 1959); one PDF point is 1/72 inch (ISO 32000-1, 8.3.2.3).
Always convert from millimetres and round once, never multiply rounded pixels: at 300 dpi 50 mm is 591 px, but 100 mm
is 1181 px, not 1182.
"""

from __future__ import annotations

MM_PER_INCH = 25.4
POINTS_PER_INCH = 72.0


def px_from_mm(length_mm: float, dpi: float) -> float:
    """Return a length in pixels, unrounded."""
    return length_mm / MM_PER_INCH * dpi


def mm_from_px(length_px: float, dpi: float) -> float:
    """Return a length in millimetres."""
    return length_px / dpi * MM_PER_INCH


def points_from_mm(length_mm: float) -> float:
    """Return a length in PDF points."""
    return length_mm / MM_PER_INCH * POINTS_PER_INCH


def mm_from_points(length_pt: float) -> float:
    """Return the length of a type size in points, 72 to the inch."""
    return length_pt / POINTS_PER_INCH * MM_PER_INCH


def mm_from_inches(length_in: float) -> float:
    """Return a length in millimetres."""
    return length_in * MM_PER_INCH
