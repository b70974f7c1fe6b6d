"""A pen for line drawings in a square of 100 by 100 units."""

from __future__ import annotations

import math
from collections.abc import Iterator
from contextlib import contextmanager
from typing import Self

import skia

from kiosk.core.base.geometry import Rect
from kiosk.screens.toolkit.theme import ThemeColour

UNITS = 100.0


class Pen:
    """Draws strokes and filled shapes of one colour in a `with` block, which maps the unit square to a rectangle."""

    def __init__(
        self, canvas: skia.Canvas, box: Rect, colour: ThemeColour, stroke: float = 7.0, *, mirrored: bool = False
    ) -> None:
        self.canvas = canvas
        self._box = box
        self._mirrored = mirrored
        self._stroke = skia.Paint(
            AntiAlias=True,
            Color=colour.argb,
            Style=skia.Paint.kStroke_Style,
            StrokeWidth=stroke,
            StrokeCap=skia.Paint.kRound_Cap,
            StrokeJoin=skia.Paint.kRound_Join,
        )
        self._solid = skia.Paint(AntiAlias=True, Color=colour.argb)

    def __enter__(self) -> Self:
        """Map the unit square to the box."""
        self.canvas.save()
        self.canvas.translate(self._box.x, self._box.y)
        self.canvas.scale(self._box.width / UNITS, self._box.height / UNITS)
        if self._mirrored:
            self.canvas.translate(UNITS, 0)
            self.canvas.scale(-1, 1)
        return self

    def __exit__(self, *error: object) -> None:
        """Restore the previous mapping."""
        self.canvas.restore()

    @contextmanager
    def turned(self, degrees: float, x: float = 50, y: float = 50) -> Iterator[None]:
        """Rotate the drawing clockwise about a point while the block runs."""
        self.canvas.save()
        self.canvas.rotate(degrees, x, y)
        yield
        self.canvas.restore()

    def line(self, *points: tuple[float, float]) -> None:
        """Draw a line through points."""
        path = skia.Path()
        path.moveTo(*points[0])
        for point in points[1:]:
            path.lineTo(*point)
        self.canvas.drawPath(path, self._stroke)

    def shape(self, *points: tuple[float, float]) -> None:
        """Fill a polygon."""
        path = skia.Path()
        path.moveTo(*points[0])
        for point in points[1:]:
            path.lineTo(*point)
        path.close()
        self.canvas.drawPath(path, self._solid)

    def curve(self, start: tuple[float, float], bend: tuple[float, float], end: tuple[float, float]) -> None:
        """Draw a quadratic curve."""
        path = skia.Path()
        path.moveTo(*start)
        path.quadTo(*bend, *end)
        self.canvas.drawPath(path, self._stroke)

    def circle(self, x: float, y: float, radius: float) -> None:
        """Draw a circle."""
        self.canvas.drawCircle(x, y, radius, self._stroke)

    def dot(self, x: float, y: float, radius: float) -> None:
        """Fill a circle."""
        self.canvas.drawCircle(x, y, radius, self._solid)

    def oval(self, x: float, y: float, half_width: float, half_height: float) -> None:
        """Draw an ellipse about a centre."""
        self.canvas.drawOval(_about(x, y, half_width, half_height), self._stroke)

    def arc(self, x: float, y: float, radius: float, start_deg: float, sweep_deg: float) -> None:
        """Draw part of a circle, clockwise from three o'clock."""
        self.canvas.drawArc(_about(x, y, radius, radius), start_deg, sweep_deg, False, self._stroke)

    def box(self, x: float, y: float, width: float, height: float, radius: float = 5) -> None:
        """Draw a rectangle with round corners."""
        self.canvas.drawRoundRect(skia.Rect.MakeXYWH(x, y, width, height), radius, radius, self._stroke)

    def arrow(self, start: tuple[float, float], end: tuple[float, float], head: float = 11) -> None:
        """Draw a straight arrow."""
        self.line(start, end)
        self.tip(end, math.degrees(math.atan2(end[1] - start[1], end[0] - start[0])), head)

    def arc_arrow(
        self, x: float, y: float, radius: float, start_deg: float, sweep_deg: float, head: float = 11
    ) -> None:
        """Draw part of a circle with a tip at its end."""
        self.arc(x, y, radius, start_deg, sweep_deg)
        end_deg = start_deg + sweep_deg
        end = x + radius * math.cos(math.radians(end_deg)), y + radius * math.sin(math.radians(end_deg))
        self.tip(end, end_deg + math.copysign(90, sweep_deg), head)

    def tip(self, at: tuple[float, float], towards_deg: float, length: float) -> None:
        """Draw the two strokes of an arrowhead."""
        ends = []
        for side in (-140, 140):
            angle = math.radians(towards_deg + side)
            ends.append((at[0] + length * math.cos(angle), at[1] + length * math.sin(angle)))
        self.line(ends[0], at, ends[1])


def _about(x: float, y: float, half_width: float, half_height: float) -> skia.Rect:
    return skia.Rect.MakeLTRB(x - half_width, y - half_height, x + half_width, y + half_height)
