"""A finished sheet read back from its PDF file, to be printed."""

from __future__ import annotations

import io
from dataclasses import dataclass
from pathlib import Path

import pikepdf

from kiosk.core.base.geometry import Size
from kiosk.core.base.units import mm_from_points
from kiosk.errors import UnreadableSheet, os_reason

LARGEST_BYTES = 256 * 2**20
"""More than a sheet takes: both sides of A4 at 600 dpi are 209 MB without any compression (computed)."""
_SAME_MM = 0.01


@dataclass(frozen=True, slots=True)
class FinishedSheet:
    """A sheet's file, and the size of its pages, which is that of its paper."""

    pdf: bytes
    size_mm: Size


def read_sheet(path: Path) -> FinishedSheet:
    """Read a sheet.

    Raises
    ------
    UnreadableSheet
        The file is not a whole PDF of one or two pages of one size, upright and uncropped.
    """
    try:
        if not path.is_file():
            raise UnreadableSheet(path=path, detail="it is not a file" if path.exists() else "there is no such file")
        if path.stat().st_size > LARGEST_BYTES:
            raise UnreadableSheet(path=path, detail=f"it is larger than {LARGEST_BYTES // 2**20} MiB")
        content = path.read_bytes()
    except OSError as error:
        raise UnreadableSheet(path=path, detail=os_reason(error)) from error
    try:
        with pikepdf.open(io.BytesIO(content)) as pdf:
            sizes_mm = [_size_mm(page, path) for page in pdf.pages]
    except (pikepdf.PdfError, pikepdf.PasswordError, ValueError, TypeError, KeyError, AttributeError) as error:
        raise UnreadableSheet(path=path, detail="it is no PDF, or damaged or locked") from error
    if len(sizes_mm) not in (1, 2):
        raise UnreadableSheet(path=path, detail=f"it has {len(sizes_mm)} pages; a sheet has one, and one for the back")
    if not all(alike(size, sizes_mm[0], _SAME_MM) for size in sizes_mm):
        raise UnreadableSheet(path=path, detail="its pages differ in size")
    return FinishedSheet(content, sizes_mm[0])


def alike(one: Size, other: Size, within_mm: float) -> bool:
    """Return whether two sizes differ by no more than `within_mm` on either side."""
    return max(abs(one.width - other.width), abs(one.height - other.height)) <= within_mm


def _size_mm(page: pikepdf.Page, path: Path) -> Size:
    """Return a page's size, and refuse what would make it another one on paper (ISO 32000-1, 7.7.3.3 and 14.11.2)."""
    left, bottom, right, top = (float(edge) for edge in page.mediabox)
    if [float(edge) for edge in page.cropbox] != [left, bottom, right, top]:
        raise UnreadableSheet(path=path, detail="its pages are cropped")
    if int(page.obj.get("/Rotate", 0)) or float(page.obj.get("/UserUnit", 1)) != 1:
        raise UnreadableSheet(path=path, detail="its pages are turned or scaled")
    pikepdf.parse_content_stream(page)
    return Size(mm_from_points(right - left), mm_from_points(top - bottom))
