"""The colour page as a PDF: marks for a picture of it, and patches."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from kiosk.core.print_colour.chart import ROW_NAMES, ColourChart
from kiosk.render.drawing.outline import outline, words_width_mm
from kiosk.render.drawing.pdf import PdfPage
from kiosk.render.sheet.ruler import draw_marks

_EM_MM, _LEADING = 2.2, 1.35
_PATCH_PX = 8


def colour_pdf(chart: ColourChart, words: Sequence[str]) -> bytes:
    """Return the page; `words` are lines on it, such as the printer and the day.

    The patches are pictures, as photos are, because drivers treat pictures and drawings differently.
    """
    page = PdfPage(chart.page_mm, "Colour page")
    draw_marks(page, chart.ruler)
    for patch in chart.patches:
        pixels = np.full((_PATCH_PX, _PATCH_PX, 3), patch.code, np.uint8)
        page.draw_picture(page.add_picture(pixels), patch.place_mm)
    for name in ROW_NAMES:
        first = next(patch for patch in chart.patches if patch.row == name).place_mm
        page.draw_words(outline(name, _EM_MM), chart.ruler.frame_mm.x - _EM_MM / 2, first.centre.y - _EM_MM / 2)
    room = chart.words_mm
    for index, line in enumerate(words):
        em_mm = min(_EM_MM, _EM_MM * room.width / words_width_mm(line, _EM_MM))
        page.draw_words(outline(line, em_mm), room.x, room.y + index * _LEADING * _EM_MM)
    return page.finish()
