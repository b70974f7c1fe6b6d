"""The sheet as a PDF at true scale."""

from __future__ import annotations

from kiosk.core.sheet import Sheet
from kiosk.render.canvas import Canvas
from kiosk.render.pdf import Page
from kiosk.render.photo import Photo
from kiosk.render.strip import HAIRLINE_MM, SheetStrip, draw_strip


def sheet_pdf(sheet: Sheet, photo: Photo, strip: SheetStrip) -> bytes:
    """Return a one-page PDF of a sheet: the photo at every place, cut marks, and the strip on the waste.

    The page is the medium; the photo is stored once, without loss, at its own resolution; everything else is vector.
    Equal sheets are equal bytes.
    """
    page = Page(sheet.medium.size_mm)
    draw_sheet(page, sheet, photo, strip)
    return page.finish()


def draw_sheet(page: Canvas, sheet: Sheet, photo: Photo, strip: SheetStrip) -> None:
    """Draw a sheet on a page of its medium's size."""
    picture = page.add_picture(photo.pixels)
    for place in sheet.photos:
        page.draw_picture(picture, place.rect_mm, place.turned)
    for mark in sheet.marks:
        page.draw_line(mark, HAIRLINE_MM)
    draw_strip(page, sheet, strip)
