"""Scale: what a printer makes of a length, fitted from a measured page, and the counter-move.

A printer maps a page to paper as `paper = centre + scale * (page - centre) + offset` along each axis, about the
middle of the medium. What is sent is moved the other way, so that a photo of 35 x 45 mm leaves at 35 x 45 mm.
Lengths are in millimetres, origin at the upper left of the sheet, y down.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace

from kiosk.core.base.geometry import Point, Size

RULER_UNCERTAINTY_MM = 0.1
"""Standard uncertainty of a reading between half-millimetre lines by eye."""


@dataclass(frozen=True, slots=True)
class Axis:
    """What a printer does along one axis; uncertainties are one standard deviation.

    `offset_mm` is None where the paper's edge was not measured.
    """

    scale: float = 1.0
    scale_uncertainty: float = 0.0
    offset_mm: float | None = None
    offset_uncertainty_mm: float = 0.0

    @property
    def error(self) -> float:
        """How far a length may be off, as a fraction: the deviation and one standard uncertainty."""
        return abs(self.scale - 1.0) + self.scale_uncertainty


@dataclass(frozen=True, slots=True)
class Scale:
    """What a printer does to a page."""

    x: Axis = Axis()
    y: Axis = Axis()

    @property
    def error(self) -> float:
        """The larger of both axes' errors."""
        return max(self.x.error, self.y.error)

    def after(self, found: Scale) -> Scale:
        """Return the whole scale of a printer, where `found` was measured on a page countered by this one."""
        return Scale(_composed(self.x, found.x), _composed(self.y, found.y))

    def counter(self, size_mm: Size) -> Counter:
        """Return the move that makes a page of this size come out true."""
        return Counter(
            1 / self.x.scale,
            1 / self.y.scale,
            _counter_shift(self.x, size_mm.width / 2),
            _counter_shift(self.y, size_mm.height / 2),
        )


@dataclass(frozen=True, slots=True)
class Counter:
    """`sent = scale * wanted + shift` along each axis."""

    x_scale: float = 1.0
    y_scale: float = 1.0
    x_shift_mm: float = 0.0
    y_shift_mm: float = 0.0

    def apply(self, wanted_mm: Point) -> Point:
        """Return where to send what is wanted at a place on the paper."""
        return Point(self.x_scale * wanted_mm.x + self.x_shift_mm, self.y_scale * wanted_mm.y + self.y_shift_mm)


def ruler_axis(
    nominal_mm: float,
    read_mm: float,
    *,
    start_mm: float = 0.0,
    edge_mm: float | None = None,
    side_mm: float = 0.0,
    uncertainty_mm: float = RULER_UNCERTAINTY_MM,
) -> Axis:
    """Return an axis from what a ruler read.

    Parameters
    ----------
    nominal_mm, read_mm
        A length on the page and on the paper, each with an end that is read.
    start_mm, edge_mm
        Where the length begins on the page, and where on the paper, from its edge; None where it was not read.
    side_mm
        The medium along this axis.
    uncertainty_mm
        Standard uncertainty of one reading.

    Raises
    ------
    ValueError
        A length that is not one.
    """
    if not (nominal_mm > 0 and read_mm > 0 and math.isfinite(read_mm)):
        raise ValueError("a length is more than zero")
    scale, scale_uncertainty = read_mm / nominal_mm, math.sqrt(2) * uncertainty_mm / nominal_mm
    if edge_mm is None:
        return Axis(scale, scale_uncertainty)
    arm_mm = start_mm - side_mm / 2
    offset_mm = edge_mm - (side_mm / 2 + scale * arm_mm)
    return Axis(scale, scale_uncertainty, offset_mm, math.hypot(uncertainty_mm, arm_mm * scale_uncertainty))


def fit_marks(nominal_mm: Sequence[Point], seen_mm: Sequence[Point], gauge_uncertainty: float = 0.0) -> Scale:
    """Return the scale along both axes of a page seen turned and shifted by any amount.

    The affine map that brings the marks nearest to where they were seen (ordinary least squares) is a turn, a shift
    and a scale along each axis of the page; the scales are the lengths of its columns. Their standard uncertainty is
    that of the fit, from its residuals, with that of the gauge.

    Parameters
    ----------
    nominal_mm, seen_mm
        The same marks on the page and on the paper, in any frame of reference; four or more, not on one line.
    gauge_uncertainty
        Standard uncertainty of what gave the millimetres, as a fraction.

    Raises
    ------
    ValueError
        Too few marks, or all on one line.
    """
    count = len(nominal_mm)
    if count < 4 or len(seen_mm) != count:
        raise ValueError("four marks or more are needed")
    middle, seen_middle = _middle(nominal_mm), _middle(seen_mm)
    pairs = [
        ((a.x - middle.x, a.y - middle.y), (b.x - seen_middle.x, b.y - seen_middle.y))
        for a, b in zip(nominal_mm, seen_mm, strict=True)
    ]
    xx, xy, yy = (sum(a[i] * a[j] for a, _ in pairs) for i, j in ((0, 0), (0, 1), (1, 1)))
    determinant = xx * yy - xy * xy
    if determinant <= 1e-9 * max(xx, yy) ** 2:
        raise ValueError("the marks lie on one line")
    rows = []
    for k in (0, 1):
        px, py = (sum(a[i] * b[k] for a, b in pairs) for i in (0, 1))
        rows.append(((yy * px - xy * py) / determinant, (xx * py - xy * px) / determinant))
    residual = sum((b[k] - rows[k][0] * a[0] - rows[k][1] * a[1]) ** 2 for a, b in pairs for k in (0, 1))
    variance = residual / (2 * count - 6)
    axes = [
        Axis(
            math.hypot(rows[0][i], rows[1][i]), math.hypot(math.sqrt(variance * other / determinant), gauge_uncertainty)
        )
        for i, other in ((0, yy), (1, xx))
    ]
    return Scale(*axes)


def _composed(sent: Axis, found: Axis) -> Axis:
    """Return an axis, where `found` is what was left of it: s = s1 s2 and o = s2 o1 + o2."""
    uncertainty = found.scale_uncertainty * sent.scale
    whole = replace(found, scale=sent.scale * found.scale, scale_uncertainty=uncertainty)
    if found.offset_mm is None:
        return replace(whole, offset_mm=sent.offset_mm, offset_uncertainty_mm=sent.offset_uncertainty_mm)
    return replace(whole, offset_mm=found.scale * (sent.offset_mm or 0.0) + found.offset_mm)


def _counter_shift(axis: Axis, half_mm: float) -> float:
    return half_mm - (half_mm + (axis.offset_mm or 0.0)) / axis.scale


def _middle(points: Sequence[Point]) -> Point:
    return Point(sum(p.x for p in points) / len(points), sum(p.y for p in points) / len(points))
