"""Bar charts on a PDF page; lengths are in millimetres, and every bar carries its number."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from kiosk.core.base.geometry import Rect
from kiosk.core.sheet.cut_marks import Segment
from kiosk.fonts import FontName
from kiosk.render.drawing.canvas import BLACK, Colour
from kiosk.render.drawing.outline import outline, words_width_mm, wrapped
from kiosk.render.drawing.pdf import PdfPage
from kiosk.render.drawing.structure import Kind

GREY: Colour = (0.35, 0.35, 0.35)
BAR: Colour = (0.16, 0.38, 0.58)
PALE: Colour = (0.85, 0.87, 0.90)
EM_MM, SMALL_MM = 3.1, 2.5
BOLD: FontName = "NotoSans-Bold"
_NAMES = 0.42
"""Fraction of a chart's width that is reserved for the names of its bars."""
_TITLE_MM = 7.0
_ROW_MM = 5.6


@dataclass(frozen=True, slots=True)
class Bar:
    """A bar: its name, its value, and the text at its end."""

    name: str
    value: float
    words: str


def write(
    page: PdfPage,
    text: str,
    x_mm: float,
    y_mm: float,
    em_mm: float = EM_MM,
    colour: Colour = BLACK,
    font: FontName = "NotoSans-Regular",
) -> None:
    """Write a line of text with its upper left corner at (x, y)."""
    page.draw_words(outline(text, em_mm, font), x_mm, y_mm, colour)


def title(page: PdfPage, text: str, x_mm: float, y_mm: float, em_mm: float = EM_MM, kind: Kind = "H2") -> None:
    """Write a line of bold text, which is read aloud as a heading."""
    with page.part(kind):
        page.draw_words(outline(text, em_mm, BOLD), x_mm, y_mm)


def lying_bars(page: PdfPage, place: Rect, heading: str, bars: Sequence[Bar], nothing: str) -> None:
    """Draw a horizontal bar chart, the first bar at the top, with as many bars as there is room for."""
    title(page, heading, place.x, place.y)
    top = place.y + _TITLE_MM
    shown = bars[: int((place.height - _TITLE_MM) / _ROW_MM)]
    if not shown:
        write(page, nothing, place.x, top, colour=GREY)
        return
    left = place.x + place.width * _NAMES
    room = place.right - left - max(words_width_mm(bar.words, SMALL_MM) for bar in shown) - 2.0
    longest = max(bar.value for bar in shown) or 1.0
    for row, bar in enumerate(shown):
        y = top + row * _ROW_MM
        name = wrapped(bar.name, left - place.x - 2.0, SMALL_MM)
        write(page, name[0] + (" …" if len(name) > 1 else ""), place.x, y + 0.5, SMALL_MM)
        length = room * bar.value / longest
        page.fill_rect(Rect(left, y, length, _ROW_MM - 1.8), BAR)
        write(page, bar.words, left + length + 1.2, y + 0.5, SMALL_MM, GREY)
    page.draw_line(Segment(left, top - 0.8, left, top + len(shown) * _ROW_MM - 1.0), 0.2, GREY)


def standing_bars(page: PdfPage, place: Rect, heading: str, bars: Sequence[Bar], nothing: str) -> None:
    """Draw a vertical bar chart with a scale of whole numbers; names that would overlap are left out."""
    title(page, heading, place.x, place.y)
    if not any(bar.value for bar in bars):
        write(page, nothing, place.x, place.y + _TITLE_MM, colour=GREY)
        return
    step = _step(max(bar.value for bar in bars))
    most = step * math.ceil(max(bar.value for bar in bars) / step)
    plot = Rect(place.x + 9.0, place.y + _TITLE_MM + 1.0, place.width - 9.0, place.height - _TITLE_MM - 6.0)
    for mark in range(0, most + 1, step):
        y = plot.bottom - plot.height * mark / most
        page.draw_line(Segment(plot.x, y, plot.right, y), 0.1, PALE if mark else GREY)
        text = f"{mark}"
        write(page, text, plot.x - 1.5 - words_width_mm(text, SMALL_MM), y - SMALL_MM / 2, SMALL_MM, GREY)
    slot = plot.width / len(bars)
    width = min(slot * 0.8, 12.0)
    free_from = plot.x - slot
    for index, bar in enumerate(bars):
        centre = plot.x + (index + 0.5) * slot
        height = plot.height * bar.value / most
        page.fill_rect(Rect(centre - width / 2, plot.bottom - height, width, height), BAR)
        name_mm = words_width_mm(bar.name, SMALL_MM)
        if centre - name_mm / 2 >= free_from and centre + name_mm / 2 <= plot.right + 1.0:
            write(page, bar.name, centre - name_mm / 2, plot.bottom + 1.2, SMALL_MM, GREY)
            free_from = centre + name_mm / 2 + 1.5


def _step(most: float) -> int:
    """Return a step of 1, 2 or 5 times a power of ten that gives the scale at most five steps."""
    rough = max(most / 5, 1.0)
    ten = 10 ** math.floor(math.log10(rough))
    return int(next(factor * ten for factor in (1, 2, 5, 10) if factor * ten >= rough))
