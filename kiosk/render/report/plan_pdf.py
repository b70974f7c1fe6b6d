"""The plan of a booth as a PDF: from above, from the side, and its values with their sources; A4 lying, to scale."""

from __future__ import annotations

from collections.abc import Iterable

from kiosk.core.base.geometry import Size
from kiosk.core.camera_setup.optics_plan import BoothPlan
from kiosk.core.camera_setup.optics_values import CAUTIONS, PlanValue, values_of
from kiosk.core.sheet.cut_marks import Segment
from kiosk.core.sheet.media import medium
from kiosk.render.drawing.chart import EM_MM, GREY, PALE, SMALL_MM, title, write
from kiosk.render.drawing.outline import wrapped
from kiosk.render.drawing.pdf import PdfPage, pdf_file
from kiosk.render.report.plan_shapes import LIGHT, SIGHT, ScaledView, scale_bar
from kiosk.render.report.plan_views import ROOM_HIGH_MM, from_above, from_the_side

SCALES = (20.0, 25.0, 50.0, 100.0)
_LEFT, _TOP, _FOOT = 14.0, 12.0, 198.0
_DRAWN = Size(297.0 - 2 * _LEFT, _FOOT - _TOP - 20.0)
"""What title and scale bar leave of a lying A4 page."""
_AROUND = Size(1000.0, 500.0)
"""The room that dimensions need around a view, in millimetres of the room at 1:20."""
_COLUMNS = (_LEFT, 78.0, 158.0)
_ROW_MM = 5.6


def plan_pdf(plan: BoothPlan, name: str) -> bytes:
    """Return the plan; `name` says for which document, camera and room it is."""
    scale = fitting_scale(plan)
    size = Size(medium("a4").size_mm.height, medium("a4").size_mm.width)
    pages = [PdfPage(size, "Plan of a booth") for _ in range(3)]
    for page, heading in zip(pages, ("From above", "From the side", "Values and their sources"), strict=True):
        title(page, f"Plan of a booth: {heading.lower()}", _LEFT, _TOP, 5.0, "H1" if page is pages[0] else "H2")
        write(page, f"{name}. All lengths in mm.", _LEFT, _TOP + 7.0, SMALL_MM, GREY)
    left, half = (297.0 - plan.room.width / scale) / 2, plan.room.height / 2
    with pages[0].part("Figure", "The booth from above, to scale; its lengths are in the table of the last page."):
        from_above(ScaledView(pages[0], (left, _top(2 * half, scale) + half / scale), scale), plan)
    with pages[1].part("Figure", "The booth from the side, to scale; its lengths are in the table of the last page."):
        from_the_side(ScaledView(pages[1], (left, _top(ROOM_HIGH_MM, scale) + ROOM_HIGH_MM / scale), scale), plan)
    for page in pages[:2]:
        scale_bar(page, _LEFT, _FOOT, scale)
        _key(page)
    _table(pages[2], values_of(plan))
    return pdf_file(pages)


def _top(height_mm: float, scale: float) -> float:
    """Return where a view of that height begins on the paper, so that it is in the middle with its dimensions below."""
    free = _DRAWN.height - height_mm / scale - 0.8 * _AROUND.height / 20
    return _TOP + 14.0 + max(0.0, free / 2)


def _key(page: PdfPage) -> None:
    """Explain the colours of the lines."""
    y, x = _FOOT + 1.0, 195.0
    for words, colour in (("in the picture", SIGHT), ("light", LIGHT), ("the lens's axis", GREY)):
        page.draw_line(Segment(x, y, x + 7.0, y), 0.4, colour)
        write(page, words, x + 8.5, y - SMALL_MM / 2, SMALL_MM, GREY)
        x += 32.0


def fitting_scale(plan: BoothPlan) -> float:
    """Return the largest of the usual scales at which both views fit on the page."""
    high = max(plan.room.height, ROOM_HIGH_MM)
    for scale in SCALES[:-1]:
        width = plan.room.width / scale + _AROUND.width / 20
        if width <= _DRAWN.width and high / scale + _AROUND.height / 20 <= _DRAWN.height:
            return scale
    return SCALES[-1]


def _table(page: PdfPage, values: Iterable[PlanValue]) -> None:
    y = _TOP + 14.0
    for row in values:
        write(page, row.name, _COLUMNS[0], y, EM_MM)
        write(page, row.value, _COLUMNS[1], y, EM_MM)
        write(page, row.source, _COLUMNS[2], y + 0.4, SMALL_MM, GREY)
        y += _ROW_MM
        page.draw_line(Segment(_LEFT, y - 1.0, 297.0 - _LEFT, y - 1.0), 0.1, PALE)
    write(page, "* from memory, not from the text itself", _COLUMNS[2], y, SMALL_MM, GREY)
    y += 5.0
    for caution in CAUTIONS:
        for line in wrapped(caution, 297.0 - 2 * _LEFT - 4.0, SMALL_MM):
            write(page, line, _LEFT, y, SMALL_MM)
            y += 3.4
