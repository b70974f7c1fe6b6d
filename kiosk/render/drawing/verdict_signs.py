"""Signs for the outcomes of requirements; they differ in shape as well as in colour."""

from __future__ import annotations

import math
from collections.abc import Mapping

from kiosk.core.base.decision import Word
from kiosk.render.drawing.canvas import Colour
from kiosk.render.drawing.pdf import PdfPage

COLOURS: Mapping[Word, Colour] = {
    "pass": (0.05, 0.40, 0.20),
    "fail": (0.70, 0.08, 0.08),
    "refer": (0.60, 0.36, 0.0),
    "unmeasured": (0.35, 0.35, 0.35),
    "advise": (0.10, 0.30, 0.55),
}

_WHITE: Colour = (1.0, 1.0, 1.0)
_CORNERS = 48

SignPoint = tuple[float, float]


def draw_sign(page: PdfPage, word: Word, x_mm: float, y_mm: float, side_mm: float) -> None:
    """Draw a sign in a square with its upper left corner at (x, y): tick, cross, diamond, i, or dots."""
    colour, stroke = COLOURS[word], side_mm * 0.13

    def at(*shares: SignPoint) -> list[SignPoint]:
        return [(x_mm + across * side_mm, y_mm + down * side_mm) for across, down in shares]

    if word == "pass":
        page.fill_polygon(at(*_circle(0.5, 0.5, 0.5)), colour)
        page.draw_polyline(at((0.25, 0.52), (0.43, 0.70), (0.75, 0.32)), stroke, _WHITE)
    elif word == "fail":
        page.fill_polygon(at(*_circle(0.5, 0.5, 0.5)), colour)
        page.fill_polygon(at(*_circle(0.5, 0.5, 0.38)), _WHITE)
        page.draw_polyline(at((0.32, 0.32), (0.68, 0.68)), stroke, colour)
        page.draw_polyline(at((0.68, 0.32), (0.32, 0.68)), stroke, colour)
    elif word == "refer":
        page.fill_polygon(at((0.5, 0.0), (1.0, 0.5), (0.5, 1.0), (0.0, 0.5)), colour)
        page.draw_polyline(at((0.5, 0.27), (0.5, 0.55)), stroke, _WHITE)
        page.fill_polygon(at(*_circle(0.5, 0.70, 0.08)), _WHITE)
    elif word == "advise":
        page.fill_polygon(at(*_circle(0.5, 0.5, 0.5)), colour)
        page.fill_polygon(at(*_circle(0.5, 0.5, 0.40)), _WHITE)
        page.fill_polygon(at(*_circle(0.5, 0.29, 0.08)), colour)
        page.draw_polyline(at((0.5, 0.44), (0.5, 0.76)), stroke, colour)
    else:
        for across in (0.14, 0.5, 0.86):
            page.fill_polygon(at(*_circle(across, 0.5, 0.11)), colour)


def _circle(across: float, down: float, radius: float) -> list[SignPoint]:
    """Return a circle as a polygon; with 48 corners, a sign of 10 mm is round to 0.02 mm."""
    turns = [2 * math.pi * corner / _CORNERS for corner in range(_CORNERS)]
    return [(across + radius * math.cos(turn), down + radius * math.sin(turn)) for turn in turns]
