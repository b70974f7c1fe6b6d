"""Colours on paper: CIE L*a*b* under D50, in which print is measured, and CIEDE2000.

sRGB is taken to D50 by the Bradford matrix of ICC.1:2010, Annex E, as colour engines do, so that an aim of sRGB and a
reading of a print can be compared. `kiosk.core.base.colour` has the same arithmetic under D65, for pictures of people.
"""

from __future__ import annotations

import math

from kiosk.core.base.colour import LabColour, LinearRgb, linear

Code = tuple[int, int, int]
"""Red, green and blue of sRGB, from 0 to 255."""
Xyz = tuple[float, float, float]
"""CIE XYZ as shares of the white's, so that white is 1, 1, 1."""

D50_OF_LINEAR_RGB = (
    (0.4360747, 0.3850649, 0.1430804),
    (0.2225045, 0.7168786, 0.0606169),
    (0.0139322, 0.0971045, 0.7141733),
)
"""Matrix from linear sRGB to CIE XYZ under D50 (Lindbloom, "RGB/XYZ Matrices", sRGB D50), and its inverse."""
LINEAR_RGB_OF_D50 = (
    (3.1338561, -1.6168667, -0.4906146),
    (-0.9787684, 1.9161415, 0.0334540),
    (0.0719453, -0.2289914, 1.4052427),
)

_EDGE = 6 / 29


def light_of_code(code: Code) -> LinearRgb:
    """Return the linear light of an sRGB code, 0 to 1."""
    red, green, blue = (linear(channel / 255) for channel in code)
    return red, green, blue


def code_of_light(light: float) -> int:
    """Return the code of an sRGB channel nearest to a linear light from 0 to 1 (IEC 61966-2-1)."""
    return round(255 * (12.92 * light if light <= 0.0031308 else 1.055 * light ** (1 / 2.4) - 0.055))


def xyz_of_light(light: LinearRgb) -> Xyz:
    """Return the XYZ of linear sRGB, as shares of its white."""
    x, y, z = (sum(a * b for a, b in zip(row, light, strict=True)) / sum(row) for row in D50_OF_LINEAR_RGB)
    return x, y, z


def light_of_xyz(xyz: Xyz) -> LinearRgb:
    """Return the linear sRGB of XYZ as shares of the white; outside 0 to 1 where sRGB does not reach."""
    absolute = [share * sum(row) for share, row in zip(xyz, D50_OF_LINEAR_RGB, strict=True)]
    red, green, blue = (sum(a * b for a, b in zip(row, absolute, strict=True)) for row in LINEAR_RGB_OF_D50)
    return red, green, blue


def lab_of_xyz(xyz: Xyz) -> LabColour:
    """Return the L*a*b* of XYZ as shares of the white (ISO/CIE 11664-4)."""
    f_x, f_y, f_z = (math.cbrt(share) if share > _EDGE**3 else share / (3 * _EDGE**2) + 4 / 29 for share in xyz)
    return 116 * f_y - 16, 500 * (f_x - f_y), 200 * (f_y - f_z)


def xyz_of_lab(lab: LabColour) -> Xyz:
    """Return XYZ as shares of the white (ISO/CIE 11664-4)."""
    f_y = (lab[0] + 16) / 116
    x, y, z = (
        f**3 if f > _EDGE else 3 * _EDGE**2 * (f - 4 / 29) for f in (f_y + lab[1] / 500, f_y, f_y - lab[2] / 200)
    )
    return x, y, z


def chroma(lab: LabColour) -> float:
    """Return how far a colour is from grey."""
    return math.hypot(lab[1], lab[2])


def difference(one: LabColour, other: LabColour) -> float:
    """Return the colour difference CIEDE2000 with all weights 1 (ISO/CIE 11664-6)."""
    stretch = 1 + (1 - _chroma_weight((chroma(one) + chroma(other)) / 2)) / 2
    a_1, a_2 = one[1] * stretch, other[1] * stretch
    c_1, c_2 = math.hypot(a_1, one[2]), math.hypot(a_2, other[2])
    h_1, h_2 = _hue_deg(a_1, one[2]), _hue_deg(a_2, other[2])
    turn = 0.0 if c_1 * c_2 == 0 else (h_2 - h_1 + 180) % 360 - 180
    if turn == -180 and h_2 > h_1:
        turn = 180.0
    d_l, d_c = other[0] - one[0], c_2 - c_1
    d_h = 2 * math.sqrt(c_1 * c_2) * math.sin(math.radians(turn / 2))
    l_mean, c_mean = (one[0] + other[0]) / 2, (c_1 + c_2) / 2
    h_mean = h_1 + h_2 if c_1 * c_2 == 0 else _mean_hue_deg(h_1, h_2)
    tilt = (
        1
        - 0.17 * _cos(h_mean - 30)
        + 0.24 * _cos(2 * h_mean)
        + 0.32 * _cos(3 * h_mean + 6)
        - 0.20 * _cos(4 * h_mean - 63)
    )
    off = (l_mean - 50) ** 2
    s_l, s_c, s_h = 1 + 0.015 * off / math.sqrt(20 + off), 1 + 0.045 * c_mean, 1 + 0.015 * c_mean * tilt
    cross = -2 * _chroma_weight(c_mean) * math.sin(math.radians(60 * math.exp(-(((h_mean - 275) / 25) ** 2))))
    parts = d_l / s_l, d_c / s_c, d_h / s_h
    return math.sqrt(sum(part**2 for part in parts) + cross * parts[1] * parts[2])


def _chroma_weight(mean_chroma: float) -> float:
    return math.sqrt(mean_chroma**7 / (mean_chroma**7 + 25.0**7))


def _hue_deg(a: float, b: float) -> float:
    return math.degrees(math.atan2(b, a)) % 360 if a or b else 0.0


def _mean_hue_deg(h_1: float, h_2: float) -> float:
    if abs(h_1 - h_2) <= 180:
        return (h_1 + h_2) / 2
    return (h_1 + h_2 + (360 if h_1 + h_2 < 360 else -360)) / 2


def _cos(angle_deg: float) -> float:
    return math.cos(math.radians(angle_deg))
