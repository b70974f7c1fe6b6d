"""The sheet as a picture file for a photo laboratory, with exactly the paper's pixels and printing instructions."""

from __future__ import annotations

import io
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Literal

from PIL import Image

from kiosk.core.base.units import px_from_mm
from kiosk.core.sheet.imposition import Sheet
from kiosk.render.drawing.raster import RasterPage
from kiosk.render.drawing.srgb_profile import srgb_profile
from kiosk.render.sheet.note_rows import SCALE_BAR_MM
from kiosk.render.sheet.pdf import draw_sheet
from kiosk.render.sheet.photo import Photo
from kiosk.render.sheet.strip import SheetStrip

LAB_DPI = 300.0
"""The resolution at which minilabs print (practice of the trade)."""

LabForm = Literal["jpeg", "tiff"]

_JPEG_QUALITY = 98
_NO_SUBSAMPLING = 0
_IMAGE_DESCRIPTION = 270


@dataclass(frozen=True, slots=True)
class LabFile:
    """A finished file, and the instruction for printing it at true scale, which the file contains as well."""

    content: bytes
    instruction: str


def lab_dpi(needed_dpi: Iterable[float]) -> float:
    """Return the pixels per inch of a file for documents with these requirements."""
    return max(LAB_DPI, *needed_dpi)


def lab_file(sheet: Sheet, photos: Sequence[Photo], strip: SheetStrip, form: LabForm, dpi: float = LAB_DPI) -> LabFile:
    """Return a sheet as JPEG, or losslessly as TIFF, with resolution, sRGB profile and printing instruction.

    Parameters
    ----------
    photos
        The photos, indexed by `Placement.item`, rendered by `render_photo` at the same `dpi`, so that none is scaled a
        second time.
    dpi
        Pixels per inch; a whole number, because JPEG cannot store any other.

    Raises
    ------
    ValueError
        A photo has fewer pixels than its place at `dpi`.
    """
    page = RasterPage(sheet.medium.size_mm, dpi)
    words = _instruction(sheet, dpi, has_bar=draw_sheet(page, sheet, photos, strip))
    picture, file = Image.fromarray(page.finish()), io.BytesIO()
    if form == "jpeg":
        picture.save(
            file,
            "JPEG",
            quality=_JPEG_QUALITY,
            subsampling=_NO_SUBSAMPLING,
            dpi=(dpi, dpi),
            icc_profile=srgb_profile(),
            comment=words.encode("ascii"),
        )
    else:
        picture.save(
            file,
            "TIFF",
            compression="tiff_lzw",
            dpi=(dpi, dpi),
            icc_profile=srgb_profile(),
            tiffinfo={_IMAGE_DESCRIPTION: words},
        )
    return LabFile(file.getvalue(), words)


def _instruction(sheet: Sheet, dpi: float, has_bar: bool) -> str:
    size = sheet.medium.size_mm
    across, down = (round(px_from_mm(side, dpi)) for side in (size.width, size.height))
    return (
        f"Print {across} x {down} px at {dpi:g} px per inch on paper of {size.width:g} x {size.height:g} mm, without "
        f"resizing, fitting, cropping or image correction."
        + (f" The bar must measure {SCALE_BAR_MM:g} mm." if has_bar else "")
    )
