"""Several photos on one sheet: in captioned blocks where there is room, closer together where there is not."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from kiosk.core.sheet.block_imposition import impose_blocks
from kiosk.core.sheet.imposition import GUTTER_MM, Margins, Medium, PhotoCopies, Sheet
from kiosk.core.sheet.mixed_imposition import impose_several
from kiosk.errors import PhotosDoNotFit, SheetDoesNotFit


def impose_shared(
    medium: Medium, orders: Sequence[PhotoCopies], margins: Margins, gutter_mm: float = GUTTER_MM
) -> Sheet:
    """Lay different photos on one sheet, in exactly the ordered numbers; `Placement.item` is the index of the order.

    The sheet has a caption's place for each order, or none at all where the photos only fit without.

    Raises
    ------
    SheetDoesNotFit, PhotosDoNotFit
        The printable area holds fewer photos, of one size or of several.
    ValueError
        There is no order, or a size, margin, gutter or count is out of range.
    """
    try:
        return impose_blocks(medium, orders, margins, gutter_mm)
    except PhotosDoNotFit:
        return impose_several(medium, orders, margins, gutter_mm)


def impose_filled(
    medium: Medium, least: Sequence[PhotoCopies], margins: Margins, gutter_mm: float = GUTTER_MM
) -> Sheet:
    """Lay at least these copies on one sheet, and as many more as fit, one of each in turn.

    A sheet that has captions keeps them.

    Raises
    ------
    SheetDoesNotFit, PhotosDoNotFit, ValueError
        As by `impose_shared`.
    """
    impose = impose_shared
    orders = list(least)
    sheet = impose(medium, orders, margins, gutter_mm)
    if sheet.captions_mm:
        impose = impose_blocks
    growing = list(range(len(orders)))
    while growing:
        for item in tuple(growing):
            longer = [*orders]
            longer[item] = replace(orders[item], count=orders[item].count + 1)
            try:
                sheet = impose(medium, longer, margins, gutter_mm)
            except (SheetDoesNotFit, PhotosDoNotFit):
                growing.remove(item)
            else:
                orders = longer
    return sheet
