"""A preview of a design: each role's badge at true size on A4, filled with the names of its columns.

Each role has a badge with short texts and one with long texts, which shows how texts shrink.
"""

from __future__ import annotations

import math
from collections.abc import Iterator

from kiosk.core.base.geometry import Rect, Size
from kiosk.core.event.badge import BadgeDesign
from kiosk.core.event.badge_boxes import BadgeSide, PhotoWindow
from kiosk.core.sheet.media import medium
from kiosk.render.badge.badge import Wearer, draw_badge
from kiosk.render.drawing.canvas import Colour
from kiosk.render.drawing.outline import outline
from kiosk.render.drawing.pdf import PdfPage, pdf_file

_PAPER = medium("a4")
_EDGE_MM = 12.0
_CAPTION_MM = 2.6
_GAP_MM = 5.0
_TRIM_WIDTH_MM = 0.1
_GREY: Colour = (0.78, 0.78, 0.78)
_DARK: Colour = (0.35, 0.35, 0.35)
_LONG = 5
_STEPS = 72
HEAD_WIDTH = 0.75
"""Head width as a fraction of head height (practice of the trade, for drawing only)."""


def preview_pdf(design: BadgeDesign) -> bytes:
    """Return the preview as PDF; a hairline shows the trim, and two ovals the smallest and the largest head."""
    places = _places(design.size_mm, _GAP_MM + 2 * design.bleed_mm)
    pages: list[PdfPage] = []
    place: Iterator[Rect] = iter(())
    for caption, side, wearer in _samples(design):
        where = next(place, None)
        if where is None:
            pages.append(PdfPage(_PAPER.size_mm, design.title))
            place = iter(places)
            where = next(place)
        _draw(pages[-1], where, design, side, wearer, caption)
    return pdf_file(pages)


def _samples(design: BadgeDesign) -> list[tuple[str, BadgeSide, Wearer]]:
    found = []
    for role in design.roles:
        for length, repeats in (("short words", 1), ("long words", _LONG)):
            values = {column: " ".join([column.title()] * repeats) for column in design.columns}
            wearer = Wearer({**values, "role": role, "id": "0" * 6 * repeats})
            found += [(f"{name}, {role}, {length}", side, wearer) for name, side in design.sides()]
    return found


def _places(size_mm: Size, gap_mm: float) -> list[Rect]:
    """Return the places for badges on a page, row by row; a badge wider than the page has the page to itself."""
    paper = _PAPER.size_mm
    across = max(1, int((paper.width - 2 * _EDGE_MM + gap_mm) // (size_mm.width + gap_mm)))
    down = max(1, int((paper.height - 2 * _EDGE_MM + gap_mm) // (size_mm.height + gap_mm)))
    return [
        Rect(
            _EDGE_MM + column * (size_mm.width + gap_mm),
            _EDGE_MM + row * (size_mm.height + gap_mm),
            size_mm.width,
            size_mm.height,
        )
        for row in range(down)
        for column in range(across)
    ]


def _draw(page: PdfPage, where: Rect, design: BadgeDesign, side: BadgeSide, wearer: Wearer, caption: str) -> None:
    draw_badge(page, where, design, side, wearer)
    if side.photo is not None:
        _head(page, where, side.photo)
    corners = [(where.x, where.y), (where.right, where.y), (where.right, where.bottom), (where.x, where.bottom)]
    page.draw_polyline([*corners, corners[0]], _TRIM_WIDTH_MM, _DARK)
    page.draw_words(outline(caption, _CAPTION_MM), where.x, where.y - design.bleed_mm - 1.5 * _CAPTION_MM, _DARK)


def _head(page: PdfPage, where: Rect, window: PhotoWindow) -> None:
    """Draw the window, with ovals for the smallest and the largest head."""
    frame = Rect(where.x + window.x_mm, where.y + window.y_mm, window.width_mm, window.height_mm)
    page.fill_rect(frame, _GREY)
    for share in window.head_height:
        height = share * frame.height
        oval = [
            (
                frame.centre.x + height * HEAD_WIDTH / 2 * math.cos(step * math.tau / _STEPS),
                frame.centre.y + height / 2 * math.sin(step * math.tau / _STEPS),
            )
            for step in range(_STEPS + 1)
        ]
        page.draw_polyline(oval, _TRIM_WIDTH_MM, _DARK)
