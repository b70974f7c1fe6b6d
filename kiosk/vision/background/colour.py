"""The background's colour on the three axes of CIE 1976 L*a*b*."""

from __future__ import annotations

from kiosk.core.base.measurement import Measurement
from kiosk.vision.background.region import Background

COLOUR_SD = 0.3
"""Standard deviation of the change when 48 compliant pictures are reduced and saved as JPEG 70."""


def measure_background_lightness(background: Background | None) -> Measurement:
    """Return the median L* of the background, 0 black to 100 white (ISO/CIE 11664-4), or None if none is in view."""
    return _median("background_lightness", 0, "L*", background)


def measure_background_a(background: Background | None) -> Measurement:
    """Return the median a* of the background, negative green to positive red, or None if none is in view."""
    return _median("background_a", 1, "a*", background)


def measure_background_b(background: Background | None) -> Measurement:
    """Return the median b* of the background, negative blue to positive yellow, or None if none is in view."""
    return _median("background_b", 2, "b*", background)


def _median(name: str, axis: int, unit: str, background: Background | None) -> Measurement:
    value = None if background is None else float(background.median[axis])
    return Measurement(name, value, unit, COLOUR_SD)
