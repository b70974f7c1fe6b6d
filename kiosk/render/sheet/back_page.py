"""The back page of a sheet: the studio's name behind each photo, and ruled lines to be filled in by hand."""

from __future__ import annotations

import textwrap
from collections.abc import Sequence
from dataclasses import replace

from kiosk.core.base.geometry import Rect
from kiosk.core.sheet.back_side import Back, mirrored
from kiosk.core.sheet.cut_marks import Segment
from kiosk.core.sheet.imposition import Sheet
from kiosk.errors import BackDoesNotFit
from kiosk.render.drawing.outline import BASELINE_EM, outline, words_width_mm
from kiosk.render.drawing.pdf import PdfPage
from kiosk.render.drawing.text import set_words
from kiosk.render.sheet.margin_notes import draw_strip
from kiosk.render.sheet.note_rows import HAIRLINE_MM
from kiosk.render.sheet.strip import SheetStrip

_EDGE_MM = 3.0
"""The margin around the text, for an inaccurate cut (practice)."""
_LARGEST_PT, _LEAST_PT = 8.0, 5.0
_MOST_LINES = 8
_EM_MM = 2.6
_LONGEST_WORD = 24
"""The letters of a word, such as an address in the net, that stand on a line of the narrowest photo at `_LEAST_PT`."""
_ROOM_MM = 8.0
"""The distance between ruled lines, enough for handwriting (practice)."""


def back_page(sheet: Sheet, backs: Sequence[Back | None], strip: SheetStrip) -> PdfPage:
    """Return the page that is printed on the back of a sheet.

    Parameters
    ----------
    backs
        The content for each photo, indexed by `Placement.item`; None for an empty back.

    Raises
    ------
    BackDoesNotFit
        The studio's name and address are too long for a photo's back.
    """
    behind = mirrored(sheet)
    page = PdfPage(sheet.medium.size_mm)
    for place in behind.photos:
        back = backs[place.item]
        if back is None:
            continue
        width, height = (place.height_mm, place.width_mm) if place.turned else (place.width_mm, place.height_mm)
        with page.at(place.rect_mm, place.turned):
            _draw_back(page, Rect(0.0, 0.0, width, height).inset(*[_EDGE_MM] * 4), back)
    draw_strip(page, behind, replace(strip, is_back=True, receipts=()), [place.rect_mm for place in behind.photos])
    return page


def _draw_back(page: PdfPage, area: Rect, back: Back) -> None:
    """Draw the studio's name, and the ruled lines at the bottom."""
    for index, word in enumerate(reversed(back.lines)):
        baseline = area.bottom - index * _ROOM_MM
        label = f"{word.replace('_', ' ').capitalize()} "
        page.draw_words(outline(label, _EM_MM), area.x, baseline - BASELINE_EM * _EM_MM)
        page.draw_line(Segment(area.x + words_width_mm(label, _EM_MM), baseline, area.right, baseline), HAIRLINE_MM)
    box = area.inset(0.0, 0.0, 0.0, len(back.lines) * _ROOM_MM)
    words = set_words(
        _breakable(back.studio), box, largest_pt=_LARGEST_PT, least_pt=_LEAST_PT, lines=_MOST_LINES, align="centre"
    )
    if not words.fits:
        raise BackDoesNotFit(width_mm=area.width + 2 * _EDGE_MM, height_mm=area.height + 2 * _EDGE_MM)
    page.draw_set_words(words, box.x, box.y)


def _breakable(text: str) -> str:
    """Return a text with each word that is too long for a line in parts, each on a line of its own."""
    return " ".join("\n".join(textwrap.wrap(word, _LONGEST_WORD)) for word in text.split(" "))
