"""The JSON object that `sheet --json` prints."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from kiosk.core.sheet.imposition import Placement, Sheet

_DECIMALS = 4


def sheet_json(sheet: Sheet, orders: Sequence[tuple[str, str]]) -> dict[str, Any]:
    """Return the paper and the photos' places in millimetres, with the origin at the upper left of the sheet.

    Parameters
    ----------
    orders
        File and document of each photo, indexed by `Placement.item`; the places name theirs if there are
        several photos.
    """
    size, printable = sheet.medium.size_mm, sheet.printable_mm
    return {
        "paper": sheet.medium.name,
        "paper_mm": [_mm(size.width), _mm(size.height)],
        "photos": [_place(photo) | _whose(orders, photo.item) for photo in sheet.photos],
        "printable_mm": {
            "x": _mm(printable.x),
            "y": _mm(printable.y),
            "width": _mm(printable.width),
            "height": _mm(printable.height),
        },
    }


def _place(photo: Placement) -> dict[str, Any]:
    return {
        "x_mm": _mm(photo.x_mm),
        "y_mm": _mm(photo.y_mm),
        "width_mm": _mm(photo.width_mm),
        "height_mm": _mm(photo.height_mm),
        "turned": photo.turned,
    }


def _whose(orders: Sequence[tuple[str, str]], item: int) -> dict[str, str]:
    return dict(zip(("photo", "document"), orders[item], strict=True)) if len(orders) > 1 else {}


def _mm(length: float) -> float:
    return round(length, _DECIMALS)
