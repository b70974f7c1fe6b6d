"""The notes beside the photos of a sheet: document, date, printing instructions, and a bar to check the scale.

A block of photos has a caption as well, in the place kept for it; without such places each photo has a small one.
"""

from __future__ import annotations

import logging
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from itertools import islice
from typing import NamedTuple

from kiosk.core.base.geometry import Range, Rect, Size
from kiosk.core.sheet.cut_marks import MARK_CLEARANCE_MM
from kiosk.core.sheet.free_space import free_rects, room_for
from kiosk.core.sheet.imposition import GUTTER_MM, Placement, Sheet
from kiosk.render.drawing.canvas import Canvas
from kiosk.render.drawing.outline import outline, words_width_mm
from kiosk.render.sheet.note_rows import ScaleBar, Words
from kiosk.render.sheet.receipt_line import ReceiptLine, receipt_heights_mm, receipt_rows
from kiosk.render.sheet.strip import SheetStrip

_CUT = "cut at the marks"
_LONGEST_DOUBT = "not certain: head size in the picture"
"""The longest note on a single doubtful requirement."""
_LEADING = 1.4
_STACK_SIZES_MM = (3.0, 2.5, 2.0)
_ROW_SIZES_MM = (*_STACK_SIZES_MM, 1.6, 1.3, 1.15, 0.95)
_ACROSS_SIZES_MM = (8.0, 6.0, 4.0, *_ROW_SIZES_MM)
_CAPTION_SIZES_MM = Range(1.6, 2.4)

_log = logging.getLogger(__name__)


_Row = Words | ScaleBar | ReceiptLine


@dataclass(frozen=True, slots=True)
class _Spot:
    """Rows at their place on the sheet; those drawn across the photos had no room beside them."""

    rows: tuple[_Row, ...]
    place_mm: Rect
    turned: bool
    em_mm: float
    is_across: bool = False
    caption_of: Placement | None = None


def has_room(sheet: Sheet) -> bool:
    """Return whether a note on a doubtful requirement fits beside the photos, at least in the smallest size."""
    em_mm = _ROW_SIZES_MM[-1]
    taken = _taken(sheet, [photo.rect_mm for photo in sheet.photos])
    note = Size(words_width_mm(_LONGEST_DOUBT, em_mm), em_mm)
    return room_for(note, free_rects(sheet.printable_mm, taken)) is not None


class NotesRoom(NamedTuple):
    """Whether the scale bar, all notes that are never left out, all captions, and a receipt find room beside photos."""

    for_bar: bool
    for_alarms: bool
    for_captions: bool
    for_receipt: bool


def notes_room(sheet: Sheet, strip: SheetStrip) -> NotesRoom:
    """Return which of the notes that must not be missing find room on a sheet."""
    spots = _spots(sheet, strip, [photo.rect_mm for photo in sheet.photos])
    captioned = sum(spot.caption_of is not None for spot in spots)
    wanted = len(sheet.photos) if strip.captions and not sheet.captions_mm else 0
    across = any(spot.is_across for spot in spots)
    return NotesRoom(_has_bar(spots), not across, captioned == wanted, not strip.receipts or _has_receipt(spots))


def draw_strip(page: Canvas, sheet: Sheet, strip: SheetStrip, shown_mm: Sequence[Rect]) -> bool:
    """Draw the notes where there is room, never over a photo or a mark, and return whether the scale bar was drawn.

    All notes go into one place if they fit there; otherwise they are placed row by row, in pieces or in smaller type as
    necessary, and notes without room are left out. If photos bleed, a note says to cut at the marks. Only the alarms
    are never left out: one for which there is no room is drawn across the photos. SIMULATION, if it must be small, is
    repeated for each photo while there is room. A receipt without room is left out, and the log says so.

    Parameters
    ----------
    shown_mm
        The area drawn at each place: the photo's trim and its bleed, if any.
    """
    for place, text in zip(sheet.captions_mm, strip.captions, strict=False):
        _draw_caption(page, place, text)
    spots = _spots(sheet, strip, shown_mm)
    if strip.receipts and not _has_receipt(spots):
        _log.warning("the receipt was left out: there is no room for it beside the photos")
    for spot in spots:
        with page.at(spot.place_mm, spot.turned):
            for index, row in enumerate(spot.rows):
                row.draw(page, index * _LEADING * spot.em_mm, spot.em_mm)
    return _has_bar(spots)


def _spots(sheet: Sheet, strip: SheetStrip, shown_mm: Sequence[Rect]) -> list[_Spot]:
    """Return the notes with their places, as described in `draw_strip`."""
    trims = [photo.rect_mm for photo in sheet.photos]
    bleeds = () if list(shown_mm) == trims else (_CUT,)
    area, taken = sheet.printable_mm, _taken(sheet, shown_mm)
    alarms = tuple(Words(text, "NotoSans-Bold") for text in strip.alarms)
    words, bar = Words(" · ".join((*strip.notes, *bleeds))), ScaleBar()
    together = _spot(area, taken, (*alarms, words, bar), _STACK_SIZES_MM)
    if together is not None:
        captions = list(_first_captions(sheet, strip, taken))
        receipt = _receipt(area, taken, strip)
        return [together, *captions, *receipt, *_further_captions(sheet, strip, taken, captions)]
    spots = []
    for alarm in alarms:
        beside = _spot(area, taken, (alarm,), _ROW_SIZES_MM)
        across = None if beside else _spot(area, [], (alarm,), _ACROSS_SIZES_MM)
        spots += [spot for spot in (beside, across and replace(across, is_across=True)) if spot is not None]
    captions = list(_first_captions(sheet, strip, taken))
    spots += captions
    row = _spot(area, taken, (words,), _ROW_SIZES_MM)
    pieces = (*strip.separate_notes, *bleeds) if row is None else ()
    found = [row, *(_spot(area, taken, (Words(note),), _ROW_SIZES_MM) for note in pieces)]
    found.append(_spot(area, taken, (bar,), _ROW_SIZES_MM))
    found += _receipt(area, taken, strip)
    again = alarms[:1] if strip.simulated else ()
    found += [_spot(area, taken, again, _ROW_SIZES_MM) for _ in sheet.photos[1:] if again]
    found += _further_captions(sheet, strip, taken, captions)
    return spots + [spot for spot in found if spot is not None]


def _first_captions(sheet: Sheet, strip: SheetStrip, taken: list[Rect]) -> Iterator[_Spot]:
    """Yield each caption that has no place kept for it, beside one of its photos."""
    for item in range(0 if sheet.captions_mm else len(strip.captions)):
        found = (_caption(sheet, strip, photo, taken) for photo in sheet.photos if photo.item == item)
        yield from islice((spot for spot in found if spot is not None), 1)


def _further_captions(sheet: Sheet, strip: SheetStrip, taken: list[Rect], first: Sequence[_Spot]) -> Iterator[_Spot]:
    """Yield the same captions beside the other photos: copies for two documents of one person look alike."""
    captioned = [spot.caption_of for spot in first]
    for photo in () if sheet.captions_mm or not strip.captions else sheet.photos:
        if photo not in captioned and (spot := _caption(sheet, strip, photo, taken)) is not None:
            yield spot


def _caption(sheet: Sheet, strip: SheetStrip, photo: Placement, taken: list[Rect]) -> _Spot | None:
    """Return a photo's caption beside it and away from photos of others, or None without room."""
    others = [other.rect_mm.grown(GUTTER_MM) for other in sheet.photos if other.item != photo.item]
    around = photo.rect_mm.grown(2 * GUTTER_MM).intersection(sheet.printable_mm)
    spot = _spot(around, [*taken, *others], (Words(strip.captions[photo.item]),), _ROW_SIZES_MM)
    if spot is None:
        return None
    taken.append(spot.place_mm.grown(MARK_CLEARANCE_MM))
    return replace(spot, caption_of=photo)


def _receipt(area: Rect, taken: list[Rect], strip: SheetStrip) -> list[_Spot]:
    """Return the first form of the receipt that finds room, or nothing."""
    for lines in strip.receipts:
        spot = _spot(area, taken, receipt_rows(lines), receipt_heights_mm(lines))
        if spot is not None:
            return [spot]
    return []


def _has_bar(spots: Sequence[_Spot]) -> bool:
    return any(isinstance(row, ScaleBar) for spot in spots for row in spot.rows)


def _has_receipt(spots: Sequence[_Spot]) -> bool:
    return any(isinstance(row, ReceiptLine) for spot in spots for row in spot.rows)


def _spot(area: Rect, taken: list[Rect], rows: Sequence[_Row], sizes_mm: Sequence[float]) -> _Spot | None:
    """Return rows one below the other in the largest size that fits, and add their place to `taken`."""
    free = free_rects(area, taken)
    for em_mm in sizes_mm:
        width = max(row.width_mm(em_mm) for row in rows)
        height = em_mm * (1 + _LEADING * (len(rows) - 1))
        room = room_for(Size(width, height), free)
        if room is not None:
            place, turned = room
            taken.append(place.grown(MARK_CLEARANCE_MM))
            return _Spot(tuple(rows), place, turned, em_mm)
    return None


def _draw_caption(page: Canvas, place: Rect, text: str) -> None:
    """Draw a caption in its place, in smaller type or shortened in the middle where it is long."""
    room = place.width / words_width_mm(text, 1.0)
    em_mm = min(_CAPTION_SIZES_MM.high or room, max(_CAPTION_SIZES_MM.low or 0.0, room))
    shown, kept = text, len(text)
    while words_width_mm(shown, em_mm) > place.width and kept > 2:
        kept -= 1
        shown = f"{text[: (kept + 1) // 2]}…{text[len(text) - kept // 2 :]}"
    page.draw_words(outline(shown, em_mm), place.x, place.y + (place.height - em_mm) / 2)


def _taken(sheet: Sheet, shown_mm: Sequence[Rect]) -> list[Rect]:
    """Return the areas to keep clear: the photos as drawn and the cut marks, with some clearance."""
    photos = [photo.rect_mm.grown(MARK_CLEARANCE_MM) for photo in sheet.photos]
    marks = [mark.rect_mm.grown(MARK_CLEARANCE_MM) for mark in sheet.marks]
    shown = [photo.around(shown) for photo, shown in zip(photos, shown_mm, strict=True)]
    return [*shown, *marks, *sheet.captions_mm]
