"""Simple drawings in millimetres, made of lines, rectangles and text, written as SVG or PDF at true size.

The origin is the upper left corner of the page; y points down. Text becomes outlines in a PDF, which is for a printer,
and stays text in an SVG, which people search and edit.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from xml.sax.saxutils import escape

from kiosk.core.base.geometry import Rect, Size
from kiosk.core.sheet.cut_marks import Segment
from kiosk.fonts import FontName
from kiosk.render.drawing.canvas import BLACK, Colour
from kiosk.render.drawing.outline import BASELINE_EM, outline, words_width_mm
from kiosk.render.drawing.pdf import PdfPage


@dataclass(frozen=True, slots=True)
class Stroke:
    """A straight line."""

    line: Segment
    width_mm: float
    colour: Colour = BLACK


@dataclass(frozen=True, slots=True)
class FilledRectangle:
    """A filled rectangle."""

    rect_mm: Rect
    colour: Colour


@dataclass(frozen=True, slots=True)
class TextRun:
    """A line of text with its upper left corner at (x, y) and a height of `em_mm`."""

    text: str
    x_mm: float
    y_mm: float
    em_mm: float
    font: FontName = "NotoSans-Regular"

    @property
    def width_mm(self) -> float:
        """The width of the line."""
        return words_width_mm(self.text, self.em_mm, self.font)


DrawnShape = Stroke | FilledRectangle | TextRun


def pdf_bytes(page_mm: Size, shapes: Sequence[DrawnShape], title: str) -> bytes:
    """Return the drawing as a PDF of one page."""
    page = PdfPage(page_mm, title)
    for shape in shapes:
        match shape:
            case Stroke():
                page.draw_line(shape.line, shape.width_mm, shape.colour)
            case FilledRectangle():
                page.fill_rect(shape.rect_mm, shape.colour)
            case TextRun():
                page.draw_words(outline(shape.text, shape.em_mm, shape.font), shape.x_mm, shape.y_mm)
    return page.finish()


def svg_text(page_mm: Size, shapes: Sequence[DrawnShape], title: str) -> str:
    """Return the drawing as SVG with the millimetre as its user unit."""
    size = f'width="{page_mm.width:g}mm" height="{page_mm.height:g}mm"'
    view = f'viewBox="0 0 {page_mm.width:g} {page_mm.height:g}"'
    head = f'<svg xmlns="http://www.w3.org/2000/svg" {size} {view}>'
    return "\n".join((head, f"<title>{escape(title)}</title>", *map(_element, shapes), "</svg>")) + "\n"


def _element(shape: DrawnShape) -> str:
    match shape:
        case Stroke(line=line):
            ends = f'x1="{line.x0_mm:.4f}" y1="{line.y0_mm:.4f}" x2="{line.x1_mm:.4f}" y2="{line.y1_mm:.4f}"'
            return f'<line {ends} stroke="{_hex(shape.colour)}" stroke-width="{shape.width_mm:g}"/>'
        case FilledRectangle(rect_mm=rect):
            sides = f'x="{rect.x:.4f}" y="{rect.y:.4f}" width="{rect.width:.4f}" height="{rect.height:.4f}"'
            return f'<rect {sides} fill="{_hex(shape.colour)}"/>'
        case TextRun():
            place = f'x="{shape.x_mm:.4f}" y="{shape.y_mm + BASELINE_EM * shape.em_mm:.4f}" font-size="{shape.em_mm:g}"'
            weight = ' font-weight="bold"' if shape.font.endswith("Bold") else ""
            return f'<text {place} font-family="Noto Sans, sans-serif"{weight}>{escape(shape.text)}</text>'


def _hex(colour: Colour) -> str:
    return "#" + "".join(f"{round(part * 255):02x}" for part in colour)
