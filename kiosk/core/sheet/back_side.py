"""The back of a sheet, with every photo where it lies after the sheet is turned over its long edge."""

from __future__ import annotations

from dataclasses import dataclass, replace

from kiosk.core.base.geometry import Rect
from kiosk.core.document.requirements import BackLine
from kiosk.core.sheet.imposition import Sheet


@dataclass(frozen=True, slots=True)
class Back:
    """The content of the back of one photo.

    Attributes
    ----------
    studio
        The studio's name and address, or an empty string.
    lines
        The ruled lines that are filled in by hand.
    """

    studio: str
    lines: tuple[BackLine, ...] = ()


def mirrored(sheet: Sheet) -> Sheet:
    """Return the sheet as seen from behind, without cut marks and strokes.

    `Placement.turned` stays set, but means the mirror image here: from behind, the top of a turned photo is on the
    left.
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
        captions_mm=(),
    )
