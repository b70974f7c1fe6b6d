"""The notes beside the photos of a sheet: document, date, printing instructions, and a bar to check the scale."""

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
_LONGEST_DOUBT = "not certain: head size in the picture"
"""The longest note on a single doubtful requirement."""
_BAR_LABEL = f"{SCALE_BAR_MM:g} mm"
_BAR_GAP_MM = 0.8
_LEADING = 1.4
_STACK_SIZES_MM = (3.0, 2.5, 2.0)
_ROW_SIZES_MM = (*_STACK_SIZES_MM, 1.6, 1.3, 1.15, 0.95)
_ACROSS_SIZES_MM = (8.0, 6.0, 4.0, *_ROW_SIZES_MM)


@dataclass(frozen=True, slots=True)
class SheetStrip:
    """The content of the notes on a sheet; it says nothing about the sitter.

    `not_certain` names the doubtful requirements that the sitter accepted.
    """

    documents: tuple[str, ...]
    printed_on: date
    simulated: bool = False
    passed_by_attendant: bool = False
    is_back: bool = False
    not_certain: tuple[str, ...] = ()

    @property
    def notes(self) -> tuple[str, ...]:
        """The notes in reading order."""
        names = " + ".join(self.documents)
        if self.is_back:
            return f"back of {names}", "turn the sheet over its long edge", "print at 100 %"
        passed = ("passed by attendant",) if self.passed_by_attendant else ()
        doubtful = (not_certain(self.not_certain),) if self.not_certain else ()
        return names, self.printed_on.isoformat(), *passed, *doubtful, "print at 100 %"

    @property
    def separate_notes(self) -> tuple[str, ...]:
        """The notes in smaller pieces, for sheets without room for one row; the doubtful requirements come first."""
        return (*(not_certain((name,)) for name in self.not_certain), *replace(self, not_certain=()).notes)


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
    """A line that is `SCALE_BAR_MM` long between the centres of two ticks, labelled with its length."""

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
    """Return whether a note on a doubtful requirement fits beside the photos, at least in the smallest size."""
    em_mm = _ROW_SIZES_MM[-1]
    taken = _taken(sheet, [photo.rect_mm for photo in sheet.photos])
    note = Size(words_width_mm(_LONGEST_DOUBT, em_mm), em_mm)
    return room_for(note, free_rects(sheet.printable_mm, taken)) is not None


def draw_strip(page: Canvas, sheet: Sheet, strip: SheetStrip, shown_mm: Sequence[Rect]) -> bool:
    """Draw the notes where there is room, never over a photo or a mark, and return whether the scale bar was drawn.

    All notes go into one place if they fit there; otherwise they are placed row by row, in pieces or in smaller type as
    necessary, and notes without room are left out. If photos bleed, a note says to cut at the marks. Only SIMULATION is
    never left out: if it must be small, it is repeated for each photo while there is room; if there is none, it is
    drawn across the photos.

    Parameters
    ----------
    shown_mm
        The area drawn at each place: the photo's trim and its bleed, if any.
    """
    trims = [photo.rect_mm for photo in sheet.photos]
    bleeds = () if list(shown_mm) == trims else (_CUT,)
    taken = _taken(sheet, shown_mm)
    warning = (_Words("SIMULATION", "NotoSans-Bold"),) if strip.simulated else ()
    words, bar = _Words(" · ".join((*strip.notes, *bleeds))), _ScaleBar()
    if _draw_rows(page, sheet.printable_mm, taken, (*warning, words, bar), _STACK_SIZES_MM):
        return True
    if warning and not _draw_rows(page, sheet.printable_mm, taken, warning, _ROW_SIZES_MM):
        _draw_rows(page, sheet.printable_mm, [], warning, _ACROSS_SIZES_MM)
    if not _draw_rows(page, sheet.printable_mm, taken, (words,), _ROW_SIZES_MM):
        for note in (*strip.separate_notes, *bleeds):
            _draw_rows(page, sheet.printable_mm, taken, (_Words(note),), _ROW_SIZES_MM)
    has_bar = _draw_rows(page, sheet.printable_mm, taken, (bar,), _ROW_SIZES_MM)
    for _ in sheet.photos[1:] if warning else ():
        _draw_rows(page, sheet.printable_mm, taken, warning, _ROW_SIZES_MM)
    return has_bar


def _draw_rows(page: Canvas, area: Rect, taken: list[Rect], rows: Sequence[_Row], sizes_mm: Sequence[float]) -> bool:
    """Draw rows one below the other in the largest size that fits, and add their place to `taken`."""
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
    """Return the areas to keep clear: the photos as drawn and the cut marks, with some clearance."""
    photos = [_grown(photo.rect_mm, MARK_CLEARANCE_MM) for photo in sheet.photos]
    marks = [_grown(mark.rect_mm, MARK_CLEARANCE_MM) for mark in sheet.marks]
    return [_around(photo, shown) for photo, shown in zip(photos, shown_mm, strict=True)] + marks


def _grown(rect: Rect, by_mm: float) -> Rect:
    return rect.inset(-by_mm, -by_mm, -by_mm, -by_mm)


def _around(one: Rect, other: Rect) -> Rect:
    left, top = min(one.x, other.x), min(one.y, other.y)
    return Rect(left, top, max(one.right, other.right) - left, max(one.bottom, other.bottom) - top)
