"""The back of a sheet: each place where it lies when the sheet has been turned over its long edge."""

from __future__ import annotations

from dataclasses import dataclass, replace

from kiosk.core.base.geometry import Rect
from kiosk.core.document.requirements import BackLine
from kiosk.core.sheet.imposition import Sheet


@dataclass(frozen=True, slots=True)
class Back:
    """What stands on the back of one photo.

    Attributes
    ----------
    studio
        Name and address, or nothing.
    lines
        What is written by hand on ruled lines.
    """

    studio: str
    lines: tuple[BackLine, ...] = ()


def mirrored(sheet: Sheet) -> Sheet:
    """Return the sheet seen from behind; it has no cut marks and no strokes of its own.

    A photo that is turned keeps its word for it: seen from behind, its top lies to the left.
    """
    size = sheet.medium.size_mm
    is_high = size.height >= size.width

    def moved(rect: Rect) -> Rect:
        if is_high:
            return replace(rect, x=size.width - rect.right)
        return replace(rect, y=size.height - rect.bottom)

    photos = [(photo, moved(photo.rect_mm)) for photo in sheet.photos]
    return replace(
        sheet,
        printable_mm=moved(sheet.printable_mm),
        photos=tuple(replace(photo, x_mm=rect.x, y_mm=rect.y) for photo, rect in photos),
        marks=(),
        strokes=(),
    )
