"""The colour temperature of light, and how a camera set to another temperature renders a grey card.

Model: a camera set to a temperature renders the light of a black body of that temperature as neutral, by one factor for
each channel (von Kries), here in linear sRGB. A real camera applies the factors to its sensor's own channels, so the
result is a setting to try, and the next picture of the card shows the remaining error. The Planckian locus is the cubic
approximation of Kim et al. 2002 (US patent 7024034), within 0.0003 in x, y from 1667 to 25,000 K.
"""

from __future__ import annotations

import math

from kiosk.core.base.colour import LinearRgb

LOWEST_K, HIGHEST_K = 2000.0, 15000.0

_RGB_OF_XYZ = ((3.2406, -1.5372, -0.4986), (-0.9689, 1.8758, 0.0415), (0.0557, -0.2040, 1.0570))


def locus_xy(kelvin: float) -> tuple[float, float]:
    """Return the CIE 1931 chromaticity x, y of a black body."""
    t = 1000 / kelvin
    if kelvin <= 4000:
        x = ((-0.2661239 * t - 0.2343589) * t + 0.8776956) * t + 0.179910
    else:
        x = ((-3.0258469 * t + 2.1070379) * t + 0.2226347) * t + 0.240390
    if kelvin <= 2222:
        y = ((-1.1063814 * x - 1.34811020) * x + 2.18555832) * x - 0.20219683
    elif kelvin <= 4000:
        y = ((-0.9549476 * x - 1.37418593) * x + 2.09137015) * x - 0.16748867
    else:
        y = ((3.0817580 * x - 5.87338670) * x + 3.75112997) * x - 0.37001483
    return x, y


def light_of(kelvin: float) -> LinearRgb:
    """Return a black body's light in linear sRGB (matrix of IEC 61966-2-1) with Y = 1; blue is clamped above 0."""
    x, y = locus_xy(kelvin)
    xyz = (x / y, 1.0, (1 - x - y) / y)
    red, green, blue = (sum(a * b for a, b in zip(row, xyz, strict=True)) for row in _RGB_OF_XYZ)
    return red, green, max(blue, 1e-3)


def shown(light: LinearRgb, set_to_k: float) -> LinearRgb:
    """Return a grey card under `light` as a camera set to a temperature renders it; equal channels mean neutral."""
    red, green, blue = (a / b for a, b in zip(light, light_of(set_to_k), strict=True))
    return red, green, blue


def undone(card: LinearRgb, set_to_k: float) -> LinearRgb:
    """Return the light on a grey card, at any scale, from the card as a camera set to a temperature renders it."""
    red, green, blue = (a * b for a, b in zip(card, light_of(set_to_k), strict=True))
    return red, green, blue


def temperature_k(card: LinearRgb, set_to_k: float) -> float:
    """Return the temperature to set the camera to, so that red and blue of the card become equal.

    Parameters
    ----------
    card
        The card as the camera renders it.
    set_to_k
        The temperature that the camera was set to.

    Returns
    -------
    float
        Between `LOWEST_K` and `HIGHEST_K`.
    """
    red, _, blue = undone(card, set_to_k)
    wanted = math.log(max(red, 1e-6) / max(blue, 1e-6))
    low, high = LOWEST_K, HIGHEST_K
    while high - low > 1:
        middle = (low + high) / 2
        at = light_of(middle)
        low, high = (middle, high) if math.log(at[0] / at[2]) > wanted else (low, middle)
    return (low + high) / 2
