"""Contrast between two sRGB colours (red, green, blue, 0 to 255 each), as WCAG 2.2 defines it."""

from __future__ import annotations

from kiosk.core.base.colour import linear, luminance

SrgbColour = tuple[int, int, int]

LEAST_FOR_TEXT = 4.5
"""The minimum contrast ratio of body text (WCAG 2.2, success criterion 1.4.3)."""


def contrast_ratio(one: SrgbColour, other: SrgbColour) -> float:
    """Return the contrast ratio of two colours, 1 to 21 (WCAG 2.2, definition of "contrast ratio")."""
    darker, lighter = sorted((relative_luminance(one), relative_luminance(other)))
    return (lighter + 0.05) / (darker + 0.05)


def relative_luminance(colour: SrgbColour) -> float:
    """Return the relative luminance, 0 to 1 (WCAG 2.2, definition of "relative luminance")."""
    red, green, blue = (linear(channel / 255) for channel in colour)
    return luminance((red, green, blue))
