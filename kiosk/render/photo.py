"""The photo: one crop out of the still, scaled once, never enlarged.

The still is in sRGB; so is the photo. Nothing else happens to the pixels: no sharpening, no tone, no retouching.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt
from PIL import Image

from kiosk.core.geometry import Rect, Size
from kiosk.core.units import MM_PER_INCH, px_from_mm
from kiosk.errors import TooFewPixels

PRINT_DPI = 600.0
"""The finest that an authority asks of a print (Germany, Emirates, Hong Kong)."""

Pixels = npt.NDArray[np.uint8]


@dataclass(frozen=True, eq=False, slots=True)
class Photo:
    """A finished photo.

    Attributes
    ----------
    pixels
        sRGB, shape (height, width, 3), read-only.
    size_mm
        The trimmed size of the print.
    """

    pixels: Pixels
    size_mm: Size

    @property
    def width_px(self) -> int:
        """Pixels across."""
        return int(self.pixels.shape[1])

    @property
    def height_px(self) -> int:
        """Pixels down."""
        return int(self.pixels.shape[0])

    @property
    def dpi(self) -> tuple[float, float]:
        """Pixels per inch on the print, across and down; rounding to whole pixels makes them differ by a little."""
        across = self.width_px / self.size_mm.width * MM_PER_INCH
        return across, self.height_px / self.size_mm.height * MM_PER_INCH


def crop_dpi(crop_px: Rect, size_mm: Size) -> float:
    """Return the pixels per inch that a crop holds at print size, in the direction that holds fewer."""
    return min(crop_px.width / size_mm.width, crop_px.height / size_mm.height) * MM_PER_INCH


def check_pixels(crop_px: Rect, size_mm: Size, needed_dpi: float, *, path: str, document: str) -> None:
    """Refuse a crop that holds fewer pixels than its document needs.

    Raises
    ------
    TooFewPixels
        With the numbers found and needed.
    """
    found = crop_dpi(crop_px, size_mm)
    if found < needed_dpi:
        raise TooFewPixels(path=path, found_dpi=math.floor(found), document=document, needed_dpi=needed_dpi)


def render_photo(rgb: Pixels, crop_px: Rect, size_mm: Size, dpi: float = PRINT_DPI) -> Photo:
    """Cut the crop out of a still and scale it to the print in one step.

    Pixels are resampled with a Lanczos filter of three lobes (Duchon 1979), stretched to the scale so that nothing
    aliases; the crop's edges fall between pixels where they must. A photo comes out at `dpi`, or at the crop's own
    resolution where that is less.

    Parameters
    ----------
    rgb
        The still in sRGB, shape (height, width, 3).
    crop_px
        The frame, inside the still.
    size_mm
        The trimmed size of the print.
    dpi
        The most pixels per inch wanted.
    """
    width_px = _whole_px(size_mm.width, dpi, crop_px.width)
    height_px = _whole_px(size_mm.height, dpi, crop_px.height)
    return Photo(scale_crop(rgb, crop_px, width_px, height_px), size_mm)


def scale_crop(rgb: Pixels, crop_px: Rect, width_px: int, height_px: int) -> Pixels:
    """Cut a crop out of a still and scale it to whole pixels, read-only; `render_photo` says how."""
    height, width = rgb.shape[:2]
    box = (
        max(0.0, crop_px.x),
        max(0.0, crop_px.y),
        min(float(width), crop_px.right),
        min(float(height), crop_px.bottom),
    )
    pixels = np.asarray(Image.fromarray(rgb).resize((width_px, height_px), Image.Resampling.LANCZOS, box=box))
    pixels.setflags(write=False)
    return pixels


def _whole_px(length_mm: float, dpi: float, held_px: float) -> int:
    """Return the pixels along one side: to the nearest, but never more than the crop holds."""
    return max(1, min(round(px_from_mm(length_mm, dpi)), math.floor(held_px + 1e-6)))
