"""Arithmetic of single colours in sRGB (IEC 61966-2-1) and CIE 1976 L*a*b* (ISO/CIE 11664-4).

`kiosk.vision.pictures.arrays` does the same for whole pictures.
"""

from __future__ import annotations

import math

LinearRgb = tuple[float, float, float]
"""Red, green and blue of sRGB in linear light, at any scale unless said otherwise."""
LabColour = tuple[float, float, float]
"""CIE 1976 L*, a*, b* against the white of sRGB (D65)."""

XYZ_OF_LINEAR_RGB = ((0.4124, 0.3576, 0.1805), (0.2126, 0.7152, 0.0722), (0.0193, 0.1192, 0.9505))
"""Matrix from linear sRGB to CIE XYZ (IEC 61966-2-1)."""
LUMINANCE_WEIGHTS = XYZ_OF_LINEAR_RGB[1]

_LINEAR_BELOW = 0.04045
_KAPPA, _EDGE_L = 903.3, 8.0


def linear(code: float) -> float:
    """Return the linear light, 0 to 1, of an sRGB channel coded from 0 to 1."""
    return code / 12.92 if code <= _LINEAR_BELOW else float(((code + 0.055) / 1.055) ** 2.4)


def luminance(light: LinearRgb) -> float:
    """Return the relative luminance Y of linear sRGB, on the scale of its channels."""
    return sum(weight * channel for weight, channel in zip(LUMINANCE_WEIGHTS, light, strict=True))


def luminance_of_lightness(lightness: float) -> float:
    """Return the relative luminance Y, 0 to 1, of an L*."""
    return float(((lightness + 16) / 116) ** 3) if lightness > _EDGE_L else lightness / _KAPPA


def lab_of(light: LinearRgb) -> LabColour:
    """Return the L*a*b* of linear sRGB from 0 to 1."""
    x, y, z = (sum(a * b for a, b in zip(row, light, strict=True)) / sum(row) for row in XYZ_OF_LINEAR_RGB)
    f_x, f_y, f_z = (
        math.cbrt(value) if value > (6 / 29) ** 3 else value * (29 / 6) ** 2 / 3 + 4 / 29 for value in (x, y, z)
    )
    return 116 * f_y - 16, 500 * (f_x - f_y), 200 * (f_y - f_z)
