"""What a plan of a booth is drawn with, at a scale: lines, ellipses, turned boxes, dimensions and a scale bar.

Points are in millimetres of the room, x along the lens's axis from the backdrop; type and line widths in millimetres of
the paper.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from kiosk.core.base.geometry import Rect
from kiosk.core.sheet.cut_marks import Segment
from kiosk.render.drawing.canvas import BLACK, Colour
from kiosk.render.drawing.chart import GREY, write
from kiosk.render.drawing.outline import words_width_mm
from kiosk.render.drawing.pdf import PdfPage

Point = tuple[float, float]

WHITE: Colour = (1.0, 1.0, 1.0)
LIGHT: Colour = (0.80, 0.55, 0.05)
VIEW: Colour = (0.90, 0.94, 0.98)
SIGHT: Colour = (0.16, 0.38, 0.58)
BODY: Colour = (0.88, 0.88, 0.88)
TEXT_MM = 2.6
THIN, USUAL, THICK = 0.13, 0.25, 0.6
"""Line widths as in ISO 128-2: 0.13 for dimensions, 0.25 for edges; walls thicker."""
_DASH_MM, _GAP_MM = 2.0, 1.2
_TICK_MM = 1.0


@dataclass(frozen=True)
class ScaledView:
    """One view of the room on a page.

    Attributes
    ----------
    page
        What is drawn on.
    origin_mm
        Where the room's origin is on the paper.
    scale
        20 for 1:20.
    """

    page: PdfPage
    origin_mm: Point
    scale: float

    def at(self, x: float, y: float) -> Point:
        """Return a point of the room on the paper."""
        return self.origin_mm[0] + x / self.scale, self.origin_mm[1] + y / self.scale

    def line(self, points: Sequence[Point], width_mm: float = USUAL, colour: Colour = BLACK) -> None:
        """Draw a line from point to point."""
        self.page.draw_polyline([self.at(*point) for point in points], width_mm, colour)

    def dashed(self, begin: Point, end: Point, width_mm: float = USUAL, colour: Colour = BLACK) -> None:
        """Draw a dashed line."""
        (x0, y0), (x1, y1) = self.at(*begin), self.at(*end)
        length = math.hypot(x1 - x0, y1 - y0)
        step = _DASH_MM + _GAP_MM
        for index in range(math.ceil(length / step)):
            first, last = index * step / length, min(1.0, (index * step + _DASH_MM) / length)
            self.page.draw_line(
                Segment(x0 + first * (x1 - x0), y0 + first * (y1 - y0), x0 + last * (x1 - x0), y0 + last * (y1 - y0)),
                width_mm,
                colour,
            )

    def shape(self, points: Sequence[Point], fill: Colour = BODY, edge: Colour = BLACK) -> None:
        """Draw a filled outline."""
        self.page.fill_polygon([self.at(*point) for point in points], fill)
        self.line([*points, points[0], points[1]], USUAL, edge)

    def ellipse(self, middle: Point, half_x: float, half_y: float, fill: Colour = BODY) -> None:
        """Draw a filled ellipse."""
        turns = (2 * math.pi * step / 72 for step in range(72))
        self.shape([(middle[0] + half_x * math.cos(turn), middle[1] + half_y * math.sin(turn)) for turn in turns], fill)

    def words(self, text: str, x: float, y: float, align: str = "middle", colour: Colour = BLACK) -> None:
        """Write a line of text whose middle is at a height, on white, so that no line runs through it."""
        left, middle = self.at(x, y)
        width = words_width_mm(text, TEXT_MM)
        left -= {"start": 0.0, "middle": width / 2, "end": width}[align]
        self.page.fill_rect(Rect(left - 0.4, middle - TEXT_MM / 2, width + 0.8, TEXT_MM), WHITE)
        write(self.page, text, left, middle - TEXT_MM / 2, TEXT_MM, colour)

    def across(self, x0: float, x1: float, y: float, from_y: float | None = None, text: str = "") -> None:
        """Draw the dimension of a length along the axis at a height; extension lines reach it from another height."""
        self._dimension((x0, y), (x1, y), None if from_y is None else ((x0, from_y), (x1, from_y)))
        self.words(text or f"{x1 - x0:.0f}", (x0 + x1) / 2, y, colour=GREY)

    def upright(self, y0: float, y1: float, x: float, from_x: float | None = None, text: str = "") -> None:
        """Draw the dimension of a length across the axis at a place, likewise."""
        self._dimension((x, y0), (x, y1), None if from_x is None else ((from_x, y0), (from_x, y1)))
        self.words(text or f"{abs(y1 - y0):.0f}", x, (y0 + y1) / 2, colour=GREY)

    def _dimension(self, begin: Point, end: Point, reached_from: tuple[Point, Point] | None) -> None:
        self.line([begin, end], THIN, GREY)
        for index, point in enumerate((begin, end)):
            x, y = self.at(*point)
            tick = Segment(x - _TICK_MM / 2, y + _TICK_MM / 2, x + _TICK_MM / 2, y - _TICK_MM / 2)
            self.page.draw_line(tick, USUAL, GREY)
            if reached_from is not None:
                self.line([reached_from[index], point], THIN, GREY)


def turned_box(middle: Point, length: float, depth: float, turn_deg: float) -> list[Point]:
    """Return the corners of a box whose front side, `length` long, is centred on a point and faces along an angle.

    The box lies behind that side. Angles turn from the axis, x, towards y.
    """
    turn = math.radians(turn_deg)
    ahead, aside = (math.cos(turn), math.sin(turn)), (-math.sin(turn), math.cos(turn))
    corners = ((0.0, -length / 2), (0.0, length / 2), (-depth, length / 3), (-depth, -length / 3))
    return [
        (middle[0] + by * ahead[0] + to * aside[0], middle[1] + by * ahead[1] + to * aside[1]) for by, to in corners
    ]


def scale_bar(page: PdfPage, x_mm: float, y_mm: float, scale: float) -> None:
    """Draw a metre at a scale, black and white by 250 mm, with how to check it."""
    for step in range(4):
        part = Rect(x_mm + step * 250 / scale, y_mm, 250 / scale, 1.4)
        page.fill_rect(part, BLACK if step % 2 == 0 else WHITE)
    right, below = x_mm + 1000 / scale, y_mm + 1.4
    page.draw_polyline([(x_mm, y_mm), (right, y_mm), (right, below), (x_mm, below), (x_mm, y_mm)], THIN)
    for length in (0, 500, 1000):
        text = f"{length} mm" if length == 1000 else f"{length}"
        write(page, text, x_mm + length / scale - (0 if not length else 2.0), y_mm + 2.0, TEXT_MM, GREY)
    check = f"1:{scale:g} when printed at its own size, 100 %: the bar is then {1000 / scale:g} mm long."
    write(page, check, x_mm + 1000 / scale + 12.0, y_mm - 0.4, TEXT_MM, GREY)
