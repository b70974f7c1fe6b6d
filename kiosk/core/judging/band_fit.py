"""One scale and one offset that meet a set of bands, each as far inside as the others allow.

A point at height y in a picture (px, downwards) falls on the print at ``mm_per_px * y + offset_mm`` below the upper
edge, so every published limit is a band on a linear form in two unknowns.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

from kiosk.core.base.geometry import Range

BISECTIONS = 24
"""Halvings in the search for the largest share: to 6e-8 of a band's half width."""

_SCALE_TOLERANCE = 1e-12
_SLOPELESS = 1e-12
_LEVEL_TOLERANCE_MM = 1e-9
_LEAST_SCALE = 1e-9


@dataclass(frozen=True, slots=True)
class Band:
    """``low <= per_scale * mm_per_px + per_offset * offset_mm + constant_mm <= high``."""

    per_scale: float
    per_offset: float
    constant_mm: float
    range_mm: Range
    firm: bool = False

    def shrunk(self, share: float) -> Band:
        """Return the band with its ends moved towards the middle; firm and one-sided bands stay as they are."""
        low, high = self.range_mm.low, self.range_mm.high
        if self.firm or low is None or high is None:
            return self
        move = (high - low) / 2 * share
        return replace(self, range_mm=Range(low + move, high - move))


def fit(first: list[Band], then: list[Band]) -> tuple[float, float] | None:
    """Return a scale in mm/px and an offset in mm inside all bands, centring `first` and then `then`, or None.

    The bands of a group are shrunk towards their middles, all by the same share and as far as a solution exists.
    """
    if _scales([*first, *then]) is None:
        return None
    first = _shrunk(first, then)
    bands = [*_shrunk(then, first), *first]
    scales = _scales(bands)
    if scales is None:
        return None
    return scales.middle, _offsets(bands, scales.middle).middle


def _shrunk(bands: list[Band], others: list[Band]) -> list[Band]:
    """Return `bands` shrunk by the largest share that leaves a solution inside them and `others`."""

    def shrunk(share: float) -> list[Band]:
        return [band.shrunk(share) for band in bands]

    if _scales([*shrunk(1.0), *others]) is not None:
        return shrunk(1.0)
    low, high = 0.0, 1.0
    for _ in range(BISECTIONS):
        middle = (low + high) / 2
        if _scales([*shrunk(middle), *others]) is None:
            high = middle
        else:
            low = middle
    return shrunk(low)


def _scales(bands: list[Band]) -> Range | None:
    """Return the scales for which some offset meets all bands, or None (Fourier-Motzkin elimination of the offset).

    Every band that depends on the offset bounds it by linear functions of the scale; no lower bound may exceed an
    upper one, so that each pair of them is a half line of scales. This runs some thirty times a photo, so it counts
    in floats.
    """
    lowers: list[tuple[float, float]] = []
    uppers: list[tuple[float, float]] = []
    half_lines: list[tuple[float, float]] = []
    for band in bands:
        for end, is_low in ((band.range_mm.low, True), (band.range_mm.high, False)):
            if end is None:
                continue
            slope, level = band.per_scale, end - band.constant_mm
            if band.per_offset == 0.0:
                half_lines.append((slope, level) if is_low else (-slope, -level))
            else:
                line = (-slope / band.per_offset, level / band.per_offset)
                (lowers if is_low == (band.per_offset > 0) else uppers).append(line)
    half_lines += [(above - below, low - high) for below, low in lowers for above, high in uppers]
    least, most = _LEAST_SCALE, math.inf
    for slope, level in half_lines:
        if slope > _SLOPELESS:
            least = max(least, level / slope)
        elif slope < -_SLOPELESS:
            most = min(most, level / slope)
        elif level > _LEVEL_TOLERANCE_MM:
            return None
    return None if least > most + _SCALE_TOLERANCE else Range(least, None if most == math.inf else most)


def _offsets(bands: list[Band], scale: float) -> Range:
    """Return the offsets that meet all bands at `scale`."""
    allowed = Range(None, None)
    for band in bands:
        if band.per_offset == 0.0:
            continue
        rest = band.per_scale * scale + band.constant_mm
        ends = [
            None if end is None else (end - rest) / band.per_offset for end in (band.range_mm.low, band.range_mm.high)
        ]
        allowed = allowed.intersection(Range(*ends) if band.per_offset > 0 else Range(ends[1], ends[0]))
    return allowed
