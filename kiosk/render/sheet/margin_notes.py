"""The words on a sheet's waste: what it is, when it was made, how to print it, and a bar to check its scale by."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import date

from kiosk.core.base.geometry import Rect, Size
from kiosk.core.sheet.cut_marks import MARK_CLEARANCE_MM, Segment
from kiosk.core.sheet.free_space import free_rects, room_for
from kiosk.core.sheet.imposition import Sheet
from kiosk.fonts import FontName
from kiosk.render.drawing.canvas import Canvas
from kiosk.render.drawing.outline import outline, words_width_mm
from kiosk.render.sheet.doubt import not_certain

SCALE_BAR_MM = 50.0
HAIRLINE_MM = 0.15

_CUT = "cut at the marks"
_DOUBT = "not certain: head size in the picture"
"""The longest of them."""
_BAR_LABEL = f"{SCALE_BAR_MM:g} mm"
_BAR_GAP_MM = 0.8
_LEADING = 1.4
_STACK_SIZES_MM = (3.0, 2.5, 2.0)
_ROW_SIZES_MM = (*_STACK_SIZES_MM, 1.6, 1.3, 1.15, 0.95)
_ACROSS_SIZES_MM = (8.0, 6.0, 4.0, *_ROW_SIZES_MM)


@dataclass(frozen=True, slots=True)
class SheetStrip:
    """What a sheet says beside the photos; nothing about the sitter.

    `not_certain` names the requirements that stayed doubtful and were accepted so.
    """

    documents: tuple[str, ...]
    printed_on: date
    simulated: bool = False
    passed_by_attendant: bool = False
    is_back: bool = False
    not_certain: tuple[str, ...] = ()

    @property
    def parts(self) -> tuple[str, ...]:
        """The words, in the order of reading."""
        names = " + ".join(self.documents)
        if self.is_back:
            return f"back of {names}", "turn the sheet over its long edge", "print at 100 %"
        passed = ("passed by attendant",) if self.passed_by_attendant else ()
        doubtful = (not_certain(self.not_certain),) if self.not_certain else ()
        return names, self.printed_on.isoformat(), *passed, *doubtful, "print at 100 %"

    @property
    def apart(self) -> tuple[str, ...]:
        """The words piece by piece, for where one row finds no room: each doubtful point first, which none may miss."""
        return (*(not_certain((name,)) for name in self.not_certain), *replace(self, not_certain=()).parts)


@dataclass(frozen=True, slots=True)
class _Words:
    text: str
    font: FontName = "NotoSans-Regular"

    def width_mm(self, em_mm: float) -> float:
        return words_width_mm(self.text, em_mm, self.font)

    def draw(self, page: Canvas, y_mm: float, em_mm: float) -> None:
        page.draw_words(outline(self.text, em_mm, self.font), 0.0, y_mm)


@dataclass(frozen=True, slots=True)
class _ScaleBar:
    """A line of `SCALE_BAR_MM` between the middles of two ticks, its length beside it."""

    def width_mm(self, em_mm: float) -> float:
        return HAIRLINE_MM + SCALE_BAR_MM + _BAR_GAP_MM + words_width_mm(_BAR_LABEL, em_mm)

    def draw(self, page: Canvas, y_mm: float, em_mm: float) -> None:
        left, middle = HAIRLINE_MM / 2, y_mm + em_mm / 2
        right = left + SCALE_BAR_MM
        page.draw_line(Segment(left, middle, right, middle), HAIRLINE_MM)
        for x_mm in (left, right):
            page.draw_line(Segment(x_mm, y_mm, x_mm, y_mm + em_mm), HAIRLINE_MM)
        page.draw_words(outline(_BAR_LABEL, em_mm), right + _BAR_GAP_MM, y_mm)


_Row = _Words | _ScaleBar


def has_room(sheet: Sheet) -> bool:
    """Return whether a doubtful point finds room beside the photos, be it in the least size."""
    em_mm = _ROW_SIZES_MM[-1]
    taken = _taken(sheet, [photo.rect_mm for photo in sheet.photos])
    return room_for(Size(words_width_mm(_DOUBT, em_mm), em_mm), free_rects(sheet.printable_mm, taken)) is not None


def draw_strip(page: Canvas, sheet: Sheet, strip: SheetStrip, shown_mm: Sequence[Rect]) -> bool:
    """Draw the strip where the waste has room for it, never over a photo or a mark; tell whether the bar is there.

    All together in one place where that holds it, else row by row, the words apart where they must, smaller where
    they must; what finds no room is left out. Where photos bleed it says to cut at the marks. Only SIMULATION is
    always there: where it must be small, once for each photo as far as there is room; where there is none, across the
    photos.

    Parameters
    ----------
    shown_mm
        What is drawn at each place: the photo's trim, and its bleed where it has one.
    """
    trims = [photo.rect_mm for photo in sheet.photos]
    bleeds = () if list(shown_mm) == trims else (_CUT,)
    taken = _taken(sheet, shown_mm)
    warning = (_Words("SIMULATION", "NotoSans-Bold"),) if strip.simulated else ()
    words, bar = _Words(" · ".join((*strip.parts, *bleeds))), _ScaleBar()
    if _draw_rows(page, sheet.printable_mm, taken, (*warning, words, bar), _STACK_SIZES_MM):
        return True
    if warning and not _draw_rows(page, sheet.printable_mm, taken, warning, _ROW_SIZES_MM):
        _draw_rows(page, sheet.printable_mm, [], warning, _ACROSS_SIZES_MM)
    if not _draw_rows(page, sheet.printable_mm, taken, (words,), _ROW_SIZES_MM):
        for part in (*strip.apart, *bleeds):
            _draw_rows(page, sheet.printable_mm, taken, (_Words(part),), _ROW_SIZES_MM)
    has_bar = _draw_rows(page, sheet.printable_mm, taken, (bar,), _ROW_SIZES_MM)
    for _ in sheet.photos[1:] if warning else ():
        _draw_rows(page, sheet.printable_mm, taken, warning, _ROW_SIZES_MM)
    return has_bar


def _draw_rows(page: Canvas, area: Rect, taken: list[Rect], rows: Sequence[_Row], sizes_mm: Sequence[float]) -> bool:
    """Draw rows one below the other in the largest size that finds room, and count their place as taken."""
    free = free_rects(area, taken)
    for em_mm in sizes_mm:
        width = max(row.width_mm(em_mm) for row in rows)
        height = em_mm * (1 + _LEADING * (len(rows) - 1))
        spot = room_for(Size(width, height), free)
        if spot is None:
            continue
        place, turned = spot
        with page.at(place, turned):
            for index, row in enumerate(rows):
                row.draw(page, index * _LEADING * em_mm, em_mm)
        taken.append(_grown(place, MARK_CLEARANCE_MM))
        return True
    return False


def _taken(sheet: Sheet, shown_mm: Sequence[Rect]) -> list[Rect]:
    """Return where no word may stand: photos as they are shown and marks, with some clearance."""
    photos = [_grown(photo.rect_mm, MARK_CLEARANCE_MM) for photo in sheet.photos]
    marks = [_grown(mark.rect_mm, MARK_CLEARANCE_MM) for mark in sheet.marks]
    return [_around(photo, shown) for photo, shown in zip(photos, shown_mm, strict=True)] + marks


def _grown(rect: Rect, by_mm: float) -> Rect:
    return rect.inset(-by_mm, -by_mm, -by_mm, -by_mm)


def _around(one: Rect, other: Rect) -> Rect:
    left, top = min(one.x, other.x), min(one.y, other.y)
    return Rect(left, top, max(one.right, other.right) - left, max(one.bottom, other.bottom) - top)
