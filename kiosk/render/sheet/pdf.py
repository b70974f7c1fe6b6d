"""The sheet as PDF at true scale."""

from __future__ import annotations

from collections.abc import Sequence

from kiosk.core.base.geometry import Rect
from kiosk.core.sheet.back_side import Back
from kiosk.core.sheet.bleed import Edges, open_sides, reach_mm, shown_mm
from kiosk.core.sheet.cut_marks import Segment
from kiosk.core.sheet.imposition import Placement, Sheet
from kiosk.render.drawing.canvas import Canvas
from kiosk.render.drawing.pdf import PdfPage, pdf_file
from kiosk.render.sheet.back_page import back_page
from kiosk.render.sheet.margin_notes import draw_strip
from kiosk.render.sheet.note_rows import HAIRLINE_MM
from kiosk.render.sheet.photo import Photo
from kiosk.render.sheet.strip import SheetStrip


def sheet_pdf(sheet: Sheet, photos: Sequence[Photo], strip: SheetStrip, backs: Sequence[Back | None] = ()) -> bytes:
    """Return a PDF of a sheet: a photo at every place, cut marks, and notes beside the photos.

    The page has the size of the medium. Each photo is stored once, losslessly, at its own resolution; everything else
    is vector graphics. Equal sheets give equal bytes.

    Parameters
    ----------
    photos
        The photos, indexed by `Placement.item`.
    backs
        The content of each photo's back, in the same order; the file then has a second page for duplex printing.
    """
    page = PdfPage(sheet.medium.size_mm, f"Identity photos: {' + '.join(strip.documents)}")
    draw_sheet(page, sheet, photos, strip)
    if not backs:
        return page.finish()
    return pdf_file([page, back_page(sheet, backs, strip)], duplex=True)


def draw_sheet(page: Canvas, sheet: Sheet, photos: Sequence[Photo], strip: SheetStrip) -> bool:
    """Draw a sheet on a page of its medium's size, and return whether it has a scale bar.

    `photos` are indexed by `Placement.item`.
    """
    sides = open_sides(sheet, [photo.bleed_mm for photo in photos])
    shown = [_shown(place, photos[place.item], open_) for place, open_ in zip(sheet.photos, sides, strict=True)]
    bleeding = {place.item for place, rect in zip(sheet.photos, shown, strict=True) if rect != place.rect_mm}
    pictures = [
        page.add_picture(photo.bled, photo.bleed_px)
        if photo.bled is not None and item in bleeding
        else page.add_picture(photo.pixels)
        for item, photo in enumerate(photos)
    ]
    for place, open_ in zip(sheet.photos, sides, strict=True):
        page.draw_picture(pictures[place.item], place.rect_mm, place.turned, open_)
        if photos[place.item].border:
            _draw_border(page, place.rect_mm)
    for mark in sheet.marks:
        page.draw_line(mark, HAIRLINE_MM)
    return draw_strip(page, sheet, strip, shown)


def _shown(place: Placement, photo: Photo, sides: Edges) -> Rect:
    reach = reach_mm(place.rect_mm, photo.width_px, photo.height_px, photo.bleed_px, place.turned)
    return shown_mm(place.rect_mm, reach, sides)


def _draw_border(page: Canvas, trim_mm: Rect) -> None:
    """Draw a hairline border whose outer edge is the trim."""
    half = HAIRLINE_MM / 2
    middle = trim_mm.inset(half, half, half, half)
    for y_mm in (middle.y, middle.bottom):
        page.draw_line(Segment(trim_mm.x, y_mm, trim_mm.right, y_mm), HAIRLINE_MM)
    for x_mm in (middle.x, middle.right):
        page.draw_line(Segment(x_mm, trim_mm.y, x_mm, trim_mm.bottom), HAIRLINE_MM)
