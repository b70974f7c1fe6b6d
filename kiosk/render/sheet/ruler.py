"""The calibration page as a PDF: marks for a scan and rules for a steel ruler."""

from __future__ import annotations

import math
from collections.abc import Sequence

from kiosk.core.base.geometry import Point
from kiosk.core.print_scale.ruler import MARK_MM, ORIGIN_MM, Ruler
from kiosk.core.sheet.cut_marks import Segment
from kiosk.render.drawing.canvas import BLACK
from kiosk.render.drawing.outline import outline, words_width_mm
from kiosk.render.drawing.pdf import PdfPage
from kiosk.render.sheet.note_rows import HAIRLINE_MM

_CORNERS = 120
"""A circle of 5 mm as a polygon of so many corners is within a micrometre of round."""
_END_MM = 4.0
_EM_MM, _LEADING = 2.5, 1.35
_GAP_MM = 1.0


def ruler_pdf(ruler: Ruler, words: Sequence[str]) -> bytes:
    """Return the page; `words` are lines on it, such as the printer and the day.

    The ends of the rules are hairlines whose middles are the ends: read from middle to middle.
    """
    page = PdfPage(ruler.page_mm, "Ruler page")
    draw_marks(page, ruler)
    frame = ruler.frame_mm
    _rule(page, ruler.level_y_mm, frame.x, ruler.across_mm, upright=False)
    _rule(page, ruler.upright_x_mm, frame.y, ruler.down_mm, upright=True)
    left = ruler.upright_x_mm + _END_MM
    top = ruler.level_y_mm + _END_MM
    lines = ["Measure both rules with a steel ruler,", "from the middle of one end to the middle of the other.", *words]
    room_mm = frame.right - left
    for index, line in enumerate(lines):
        em_mm = min(_EM_MM, _EM_MM * room_mm / words_width_mm(line, _EM_MM))
        page.draw_words(outline(line, em_mm), left, top + _GAP_MM + index * _LEADING * _EM_MM)
    return page.finish()


def draw_marks(page: PdfPage, ruler: Ruler) -> None:
    """Draw the round marks by which a picture of the page is squared up."""
    for number, middle in enumerate(ruler.marks):
        page.fill_polygon(_circle(middle, MARK_MM if number else ORIGIN_MM), BLACK)


def _rule(page: PdfPage, across_mm: float, start_mm: float, length_mm: float, *, upright: bool) -> None:
    """Draw a rule with its ends, and no ticks between: whoever counted them would know its length."""
    lines = [Segment(start_mm, across_mm, start_mm + length_mm, across_mm)]
    for at_mm in (start_mm, start_mm + length_mm):
        lines.append(Segment(at_mm, across_mm - _END_MM / 2, at_mm, across_mm + _END_MM / 2))
    for line in lines:
        page.draw_line(line.swapped() if upright else line, HAIRLINE_MM)


def _circle(middle: Point, diameter_mm: float) -> list[tuple[float, float]]:
    turns = (2 * math.pi * corner / _CORNERS for corner in range(_CORNERS))
    return [
        (middle.x + diameter_mm / 2 * math.cos(turn), middle.y + diameter_mm / 2 * math.sin(turn)) for turn in turns
    ]
