"""A preview of a judged photo: the whole picture with the document's frame and the measured lines."""

from __future__ import annotations

import io

import numpy as np
from PIL import Image

from kiosk.core.base.geometry import Rect, Size
from kiosk.core.base.units import MM_PER_INCH
from kiosk.core.document.document import Document
from kiosk.core.judging.conformance import Judgement
from kiosk.core.session.quantities import quantity
from kiosk.core.sheet.cut_marks import Segment
from kiosk.render.drawing.canvas import BLACK, Colour, Pixels
from kiosk.render.drawing.outline import outline, words_width_mm
from kiosk.render.drawing.raster import RasterPage
from kiosk.render.drawing.verdict_signs import COLOURS
from kiosk.render.report.plain_words import VERDICTS

LONGEST_PX = 1400
"""The longer side of the picture on the preview."""
_PX_PER_MM = 10.0
_EM, _PAD, _TICK = 2.8, 6.0, 1.5
_WHITE: Colour = (1.0, 1.0, 1.0)


def preview_png(rgb: Pixels, judgement: Judgement, document: Document) -> bytes:
    """Return a PNG of the picture, reduced, with the frame and what was measured in it.

    Where the frame reaches outside the picture, the page is larger than the picture, and white there.

    Parameters
    ----------
    rgb
        The still in sRGB, shape (height, width, 3).
    judgement
        A judgement with a plan.
    document
        The rules that it was judged by.
    """
    plan, points = judgement.plan, judgement.observation.points
    assert plan is not None
    assert points is not None
    height_px, width_px = rgb.shape[:2]
    scale = min(1.0, LONGEST_PX / max(height_px, width_px)) / _PX_PER_MM
    small = Image.fromarray(rgb).resize(
        (round(width_px * scale * _PX_PER_MM), round(height_px * scale * _PX_PER_MM)), Image.Resampling.LANCZOS
    )
    frame = plan.rect_px
    left = max(0.0, -frame.x) * scale + _PAD
    top = max(0.0, -frame.y) * scale + _PAD
    picture = Rect(round(left, 1), round(top, 1), small.width / _PX_PER_MM, small.height / _PX_PER_MM)
    shown = Rect(picture.x + frame.x * scale, picture.y + frame.y * scale, frame.width * scale, frame.height * scale)
    labels = [
        (points.top(document.head_top.value).y, {"crown": "Crown", "hair": "Hair top"}[document.head_top.value]),
        (points.eye_centre.y, f"Eye line, {quantity(plan.measurements['eye_line'].value or 0.0, 'mm')} above the edge"),
        (points.chin.y, f"Chin, head {quantity(plan.measurements['head_size'].value or 0.0, 'mm')} high"),
    ]
    room = max(words_width_mm(text, _EM) for _, text in labels) + 2 * _TICK
    right = max(picture.right + _PAD, shown.right + room + _TICK)
    page = RasterPage(Size(right, max(picture.bottom, shown.bottom) + _PAD), _PX_PER_MM * MM_PER_INCH)
    page.draw_picture(page.add_picture(np.asarray(small)), picture)
    for x_mm in (shown.x, shown.right, picture.x + points.eye_centre.x * scale):
        _line(page, Segment(x_mm, shown.y, x_mm, shown.bottom))
    for y_mm in (shown.y, shown.bottom):
        _line(page, Segment(shown.x, y_mm, shown.right, y_mm))
    for y_px, text in labels:
        y_mm = picture.y + y_px * scale
        _line(page, Segment(shown.x, y_mm, shown.right + _TICK, y_mm))
        _label(page, text, shown.right + 2 * _TICK, y_mm - _EM / 2)
    word, title = VERDICTS[judgement.verdict]
    page.draw_words(outline(f"{document.id}: {title}", _EM, "NotoSans-Bold"), _PAD, _PAD / 4, COLOURS[word])
    file = io.BytesIO()
    Image.fromarray(page.finish()).save(file, "PNG")
    return file.getvalue()


def _line(page: RasterPage, line: Segment) -> None:
    """Draw a line, dark between two bright edges, so that it stands out on hair and on the background."""
    page.draw_line(line, 0.5, _WHITE)
    page.draw_line(line, 0.2, BLACK)


def _label(page: RasterPage, text: str, x_mm: float, y_mm: float) -> None:
    """Write a label on a white ground."""
    width, middle = words_width_mm(text, _EM), y_mm + _EM / 2
    page.draw_line(Segment(x_mm - 0.4, middle, x_mm + width + 0.4, middle), _EM * 1.3, _WHITE)
    page.draw_words(outline(text, _EM), x_mm, y_mm)
