"""The background's colour, one number an axis of CIE 1976 L*a*b*."""

from __future__ import annotations

from kiosk.core.base.measurement import Measurement
from kiosk.vision.background.region import Background

COLOUR_SD = 0.3
"""What reducing 48 compliant pictures and saving them as JPEG 70 changes."""


def measure_background_lightness(background: Background | None) -> Measurement:
    """Return the median L* of the background, 0 black to 100 white (ISO/CIE 11664-4); None where none is in view."""
    return _median("background_lightness", 0, "L*", background)


def measure_background_a(background: Background | None) -> Measurement:
    """Return the median a* of the background, negative green to positive red; None where none is in view."""
    return _median("background_a", 1, "a*", background)


def measure_background_b(background: Background | None) -> Measurement:
    """Return the median b* of the background, negative blue to positive yellow; None where none is in view."""
    return _median("background_b", 2, "b*", background)


def _median(name: str, axis: int, unit: str, background: Background | None) -> Measurement:
    value = None if background is None else float(background.median[axis])
    return Measurement(name, value, unit, COLOUR_SD)
