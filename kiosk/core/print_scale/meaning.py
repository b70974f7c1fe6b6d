"""What a measured scale means for a photo, and what it comes from, in the words of somebody who prints one."""

from __future__ import annotations

import math

from kiosk.core.base.geometry import Size
from kiosk.core.print_scale.proof import LARGEST_ERROR
from kiosk.core.print_scale.scale import Scale

EXAMPLE_MM = Size(35.0, 45.0)
"""The photo of most passports (ICAO Doc 9303, part 3, from memory)."""
_FIT = 0.04
"""A larger error is no engine's: something on the way scales the page to fit (practice; 6 to 11 % were measured)."""
_ALIKE_SIGMA = 2.0
"""Two axes are alike if their difference is less than so many of its standard uncertainties."""


def as_a_photo(found: Scale) -> str:
    """Return the size at which a photo would leave the printer, as a sentence."""
    photo = EXAMPLE_MM
    width, height = photo.width * found.x.scale, photo.height * found.y.scale
    return f"A photo of {photo.width:g} x {photo.height:g} mm would print as {width:.2f} x {height:.2f} mm."


def why_not(found: Scale) -> str:
    """Return why documents must not be printed at a scale, as a clause, or nothing where they may."""
    if found.error <= LARGEST_ERROR:
        return ""
    parts = [
        f"{length:g} mm {name} would print as {length * axis.scale:.2f} mm (± {length * axis.scale_uncertainty:.2f} mm)"
        for name, length, axis in (("across", EXAMPLE_MM.width, found.x), ("down", EXAMPLE_MM.height, found.y))
        if not axis.error <= LARGEST_ERROR
    ]
    return f"{' and '.join(parts)}; {100 * LARGEST_ERROR:g} % is the most"


def is_scaled(whole: Scale) -> bool:
    """Return whether the page was scaled on its way, rather than by the printer's engine.

    Parameters
    ----------
    whole
        What the printer does to a page that is sent as it is.
    """
    if whole.error <= LARGEST_ERROR:
        return False
    x, y = whole.x, whole.y
    spread = _ALIKE_SIGMA * math.hypot(x.scale_uncertainty, y.scale_uncertainty)
    return whole.error > _FIT or (abs(x.scale - y.scale) <= spread and min(abs(x.scale - 1), abs(y.scale - 1)) > spread)
