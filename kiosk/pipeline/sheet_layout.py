"""How photos lie on a paper."""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import cache

from kiosk.core.base.geometry import Size
from kiosk.core.document.document import Document
from kiosk.core.sheet.imposition import Margins, Medium, Sheet, impose
from kiosk.render.sheet.margin_notes import has_room


@dataclass(frozen=True, slots=True)
class SheetLayout:
    """The layout of photos on a paper; `count` is None for as many as fit."""

    medium: Medium
    margins: Margins
    gutter_mm: float
    count: int | None = None

    def impose(self, document: Document, *, marked: bool = False) -> Sheet:
        """Return the sheet of one document; a marked one has a photo less if its notes would not fit otherwise.

        Raises
        ------
        SheetDoesNotFit
            The paper holds fewer photos than requested.
        NoPrintSize
            The document is a file to upload.
        """
        return (_with_room if marked else _imposed)(self, document.size_mm)


@cache
def _imposed(layout: SheetLayout, photo_mm: Size) -> Sheet:
    return impose(layout.medium, photo_mm, layout.margins, layout.gutter_mm, layout.count)


@cache
def _with_room(layout: SheetLayout, photo_mm: Size) -> Sheet:
    sheet = _imposed(layout, photo_mm)
    if len(sheet.photos) == 1 or has_room(sheet):
        return sheet
    return _imposed(replace(layout, count=len(sheet.photos) - 1), photo_mm)
