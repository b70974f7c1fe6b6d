"""Dimension lines in the drawing of a document's rules: each length in the unit that the document is measured in.

Places are in millimetres of the page.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import replace

from kiosk.core.base.units import MM_PER_INCH
from kiosk.core.document.document import Document
from kiosk.core.sheet.cut_marks import Segment
from kiosk.render.drawing.shapes import DrawnShape, Stroke, TextRun

HAIRLINE_MM, LINE_MM = 0.1, 0.25
EM_MM = 2.8
_TICK_MM = 1.2


def in_inches(document: Document) -> bool:
    """Return whether the document is measured in inches."""
    return document.size is not None and document.size.unit == "in"


def across(document: Document, x0: float, x1: float, y: float) -> Iterator[DrawnShape]:
    """Draw a level dimension line with its length below the middle."""
    yield Stroke(Segment(x0, y, x1, y), HAIRLINE_MM)
    for x in (x0, x1):
        yield Stroke(Segment(x, y - _TICK_MM, x, y + _TICK_MM), HAIRLINE_MM)
        yield Stroke(Segment(x - _TICK_MM / 2, y + _TICK_MM / 2, x + _TICK_MM / 2, y - _TICK_MM / 2), LINE_MM)
    words = TextRun(_length(document, x1 - x0), x0, y + 0.8, EM_MM)
    yield replace(words, x_mm=(x0 + x1 - words.width_mm) / 2)


def down(document: Document, x: float, y0: float, y1: float, edge_x: float) -> Iterator[DrawnShape]:
    """Draw an upright dimension line, led to the edge it belongs to, with its length on the far side."""
    far = math.copysign(1.0, x - edge_x)
    yield Stroke(Segment(x, y0, x, y1), HAIRLINE_MM)
    for y in (y0, y1):
        yield Stroke(Segment(edge_x + far * _TICK_MM, y, x + far * _TICK_MM, y), HAIRLINE_MM)
        yield Stroke(Segment(x - _TICK_MM / 2, y + _TICK_MM / 2, x + _TICK_MM / 2, y - _TICK_MM / 2), LINE_MM)
    beside_y, above_y = (y0 + y1 - EM_MM) / 2, y0 - EM_MM - 0.5
    words = TextRun(_length(document, y1 - y0), x + 0.8, beside_y if y1 - y0 > 2 * EM_MM else above_y, EM_MM)
    yield words if far > 0 else replace(words, x_mm=x - 0.8 - words.width_mm)


def _length(document: Document, length_mm: float) -> str:
    """Return a length in the unit that the document is measured in."""
    return f"{length_mm / MM_PER_INCH:.4g} in" if in_inches(document) else f"{length_mm:.4g} mm"
