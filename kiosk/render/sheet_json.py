"""The sheet as the object that `sheet --json` prints."""

from __future__ import annotations

from typing import Any

from kiosk.core.sheet import Sheet

_DECIMALS = 4


def sheet_json(sheet: Sheet) -> dict[str, Any]:
    """Return the paper and the photos' places in millimetres, origin at the upper left of the sheet."""
    size, printable = sheet.medium.size_mm, sheet.printable_mm
    return {
        "paper": sheet.medium.name,
        "paper_mm": [_mm(size.width), _mm(size.height)],
        "photos": [
            {
                "x_mm": _mm(photo.x_mm),
                "y_mm": _mm(photo.y_mm),
                "width_mm": _mm(photo.width_mm),
                "height_mm": _mm(photo.height_mm),
                "turned": photo.turned,
            }
            for photo in sheet.photos
        ],
        "printable_mm": {
            "x": _mm(printable.x),
            "y": _mm(printable.y),
            "width": _mm(printable.width),
            "height": _mm(printable.height),
        },
    }


def _mm(length: float) -> float:
    return round(length, _DECIMALS)
