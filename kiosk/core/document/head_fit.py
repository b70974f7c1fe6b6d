"""The head heights that satisfy all vertical limits of a document.

Let c be the height of the chin above the lower edge and h the head height. Every vertical limit bounds c by a linear
function of h. A head height is possible if no lower bound exceeds an upper one (Fourier-Motzkin elimination of c), so
the possible head heights form one closed range.
"""

from __future__ import annotations

from dataclasses import dataclass

from kiosk.core.base.geometry import Range

_OPEN = Range(None, None)
_TOLERANCE_MM = 1e-9


@dataclass(frozen=True, slots=True)
class VerticalLimits:
    """The vertical limits of a photo in millimetres; limits the document does not give are unbounded."""

    frame_height_mm: float
    head_height_mm: Range
    eye_line_mm: Range = _OPEN
    margin_above_mm: Range = _OPEN
    margin_below_mm: Range = _OPEN

    def intersection(self, other: VerticalLimits) -> VerticalLimits:
        """Return the limits of a photo that meets both; both frames must have the same height."""
        return VerticalLimits(
            self.frame_height_mm,
            self.head_height_mm.intersection(other.head_height_mm),
            self.eye_line_mm.intersection(other.eye_line_mm),
            self.margin_above_mm.intersection(other.margin_above_mm),
            self.margin_below_mm.intersection(other.margin_below_mm),
        )


@dataclass(frozen=True, slots=True)
class _Line:
    """A bound on the chin's height: ``level_mm + slope * head_height_mm``."""

    level_mm: float
    slope: float

    def at(self, head_height_mm: float) -> float:
        """Return the bound for one head height."""
        return self.level_mm + self.slope * head_height_mm


def possible_heads_mm(limits: VerticalLimits, least_above: float, most_above: float) -> Range:
    """Return the head heights for which some chin position meets all limits; empty where none does.

    Parameters
    ----------
    limits
        The document's vertical limits.
    least_above, most_above
        The range of the share of head height above the eye line; equal ends describe a single head.
    """
    lowers, uppers = _chin_bounds(limits, least_above, most_above)
    heads = limits.head_height_mm.intersection(Range(0.0, None))
    for lower in lowers:
        for upper in uppers:
            heads = heads.intersection(_not_above(lower, upper))
    return heads


def possible_chins_mm(limits: VerticalLimits, head_height_mm: float, above: float) -> Range:
    """Return the permitted heights of one head's chin above the lower edge; empty where there are none."""
    lowers, uppers = _chin_bounds(limits, above, above)
    return Range(max(line.at(head_height_mm) for line in lowers), min(line.at(head_height_mm) for line in uppers))


def _chin_bounds(limits: VerticalLimits, least_above: float, most_above: float) -> tuple[list[_Line], list[_Line]]:
    frame_mm, above_mm = limits.frame_height_mm, limits.margin_above_mm
    lowers = [
        _Line(0.0, 0.0),
        *_line(limits.margin_below_mm.low, 0.0),
        *_line(None if above_mm.high is None else frame_mm - above_mm.high, -1.0),
        *_line(limits.eye_line_mm.low, least_above - 1.0),
    ]
    uppers = [
        _Line(frame_mm, -1.0),
        *_line(limits.margin_below_mm.high, 0.0),
        *_line(None if above_mm.low is None else frame_mm - above_mm.low, -1.0),
        *_line(limits.eye_line_mm.high, most_above - 1.0),
    ]
    return lowers, uppers


def _line(level_mm: float | None, slope: float) -> list[_Line]:
    return [] if level_mm is None else [_Line(level_mm, slope)]


def _not_above(lower: _Line, upper: _Line) -> Range:
    """Return the head heights at which `lower` is not above `upper`."""
    level_mm, slope = upper.level_mm - lower.level_mm + _TOLERANCE_MM, upper.slope - lower.slope
    if abs(slope) < 1e-12:
        return _OPEN if level_mm >= 0 else Range(1.0, 0.0)
    crossing_mm = -level_mm / slope
    return Range(crossing_mm, None) if slope > 0 else Range(None, crossing_mm)
