"""Badges as PDF at true scale: a page per card for a card printer, or several on a sheet with cut marks."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from itertools import islice

from kiosk.core.base.geometry import Rect, Size
from kiosk.core.event.badge import BadgeDesign
from kiosk.core.event.badge_boxes import BadgeSide
from kiosk.core.sheet.back_side import mirrored
from kiosk.core.sheet.imposition import Margins, Medium, Sheet, impose
from kiosk.render.badge.badge import Wearer, draw_badge
from kiosk.render.drawing.canvas import Pixels
from kiosk.render.drawing.pdf import PdfPage, pdf_file
from kiosk.render.sheet.note_rows import HAIRLINE_MM

CARD_TOLERANCE_MM = 0.6
"""Tolerance for recognising a card: card printers name its size in whole millimetres, the standard in hundredths."""


@dataclass(frozen=True, slots=True)
class BadgeOrder:
    """A badge to print: its values, and its photo as sRGB of shape (height, width, 3), or None for no photo."""

    values: Mapping[str, str]
    photo: Pixels | None = field(default=None, compare=False, repr=False)


def card_pages(design: BadgeDesign, orders: Sequence[BadgeOrder], *, upright: bool = False) -> bytes:
    """Return a PDF with the front, and the back if there is one, of each badge on a page of the badge's own size.

    Parameters
    ----------
    upright
        Whether to turn a landscape badge clockwise, because card printers feed the short side first.
    """
    turned = upright and design.width_mm > design.height_mm
    size_mm = Size(design.height_mm, design.width_mm) if turned else design.size_mm
    pages = []
    for order in orders:
        for _, side in design.sides():
            page = PdfPage(size_mm, design.title)
            place_mm = Rect(0.0, 0.0, size_mm.width, size_mm.height)
            draw_badge(page, place_mm, design, side, _wearer(page, order), turned)
            pages.append(page)
    return pdf_file(pages, duplex=design.back is not None)


def badge_sheets(design: BadgeDesign, orders: Sequence[BadgeOrder], medium: Medium, margins: Margins) -> bytes:
    """Return a PDF of sheets with as many badges as fit and cut marks; backs are on following pages, for duplex.

    Raises
    ------
    SheetDoesNotFit
        Not even one badge fits the paper.
    """
    sheet = impose(medium, design.size_mm, margins, 2 * design.bleed_mm)
    waiting = iter(orders)
    pages = []
    while batch := list(islice(waiting, len(sheet.photos))):
        page = PdfPage(medium.size_mm, design.title)
        for order, place in zip(batch, sheet.photos, strict=False):
            draw_badge(page, place.rect_mm, design, design.front, _wearer(page, order), place.turned)
        for mark in sheet.marks:
            page.draw_line(mark, HAIRLINE_MM)
        pages.append(page)
        if design.back is not None:
            pages.append(_backs(design, design.back, batch, sheet))
    return pdf_file(pages, duplex=design.back is not None)


def _backs(design: BadgeDesign, back: BadgeSide, batch: Sequence[BadgeOrder], sheet: Sheet) -> PdfPage:
    """Return the page with the backs, for duplex printing over the long edge.

    Each back must be upright when its badge is turned over about its vertical axis. Turning the sheet reverses the
    vertical direction of badges that lie along the axis of turning; their backs are drawn upside down.
    """
    page = PdfPage(sheet.medium.size_mm)
    is_high = sheet.medium.size_mm.height >= sheet.medium.size_mm.width
    for order, place in zip(batch, mirrored(sheet).photos, strict=False):
        wearer = _wearer(page, order)
        with page.at(place.rect_mm, place.turned):
            at_own_place = Rect(0.0, 0.0, design.width_mm, design.height_mm)
            if place.turned == is_high:
                with page.half_turned(design.size_mm):
                    draw_badge(page, at_own_place, design, back, wearer)
            else:
                draw_badge(page, at_own_place, design, back, wearer)
    return page


def is_card(medium: Medium, design: BadgeDesign) -> bool:
    """Return whether a medium has the size of the badge itself, as in a card printer."""
    sides = (medium.size_mm.width - design.width_mm, medium.size_mm.height - design.height_mm)
    turned = (medium.size_mm.height - design.width_mm, medium.size_mm.width - design.height_mm)
    return any(max(map(abs, pair)) <= CARD_TOLERANCE_MM for pair in (sides, turned))


def _wearer(page: PdfPage, order: BadgeOrder) -> Wearer:
    return Wearer(order.values, None if order.photo is None else page.add_picture(order.photo))
