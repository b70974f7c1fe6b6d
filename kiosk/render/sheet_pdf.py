"""The sheet as a PDF at true scale."""

from __future__ import annotations

from collections.abc import Sequence

from kiosk.core.sheet import Sheet
from kiosk.render.canvas import Canvas
from kiosk.render.pdf import Page
from kiosk.render.photo import Photo
from kiosk.render.strip import HAIRLINE_MM, SheetStrip, draw_strip


def sheet_pdf(sheet: Sheet, photos: Sequence[Photo], strip: SheetStrip) -> bytes:
    """Return a one-page PDF of a sheet: a photo at every place, cut marks, and the strip on the waste.

    The page is the medium; each photo is stored once, without loss, at its own resolution; everything else is vector.
    Equal sheets are equal bytes.

    Parameters
    ----------
    photos
        In the order of `Placement.item`.
    """
    page = Page(sheet.medium.size_mm)
    draw_sheet(page, sheet, photos, strip)
    return page.finish()


def draw_sheet(page: Canvas, sheet: Sheet, photos: Sequence[Photo], strip: SheetStrip) -> bool:
    """Draw a sheet on a page of its medium's size, `photos` by `Placement.item`; tell whether it has a scale bar."""
    pictures = [page.add_picture(photo.pixels) for photo in photos]
    for place in sheet.photos:
        page.draw_picture(pictures[place.item], place.rect_mm, place.turned)
    for mark in sheet.marks:
        page.draw_line(mark, HAIRLINE_MM)
    return draw_strip(page, sheet, strip)
