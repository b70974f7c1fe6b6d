"""The photo: one crop out of the still, scaled once, never enlarged.

The still is in sRGB; so is the photo. Nothing else happens to the pixels: no sharpening, no tone, no retouching.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, field

import numpy as np
from PIL import Image

from kiosk.core.base.geometry import Rect, Size
from kiosk.core.base.units import MM_PER_INCH, px_from_mm
from kiosk.core.sheet.bleed import NO_EDGES, Edges
from kiosk.errors import TooFewPixels
from kiosk.render.drawing.canvas import Pixels

PRINT_DPI = 600.0
"""The finest that an authority asks of a print (Germany, Emirates, Hong Kong)."""

_FUZZ = 1e-6
_LOBES = 3


@dataclass(frozen=True, eq=False, slots=True)
class Photo:
    """A finished photo.

    Attributes
    ----------
    pixels
        sRGB, shape (height, width, 3), read-only, trimmed.
    size_mm
        The trimmed size of the print.
    bled
        The picture with its bleed, or None where it has none; `pixels` lie in it unchanged.
    bleed_px
        How far `bled` reaches beyond each edge of the trim.
    border
        Whether a hairline may be drawn inside the trim.
    """

    pixels: Pixels
    size_mm: Size
    bled: Pixels | None = field(default=None, repr=False)
    bleed_px: Edges = NO_EDGES
    border: bool = False

    @property
    def width_px(self) -> int:
        """Pixels across."""
        return int(self.pixels.shape[1])

    @property
    def height_px(self) -> int:
        """Pixels down."""
        return int(self.pixels.shape[0])

    @property
    def pitch_mm(self) -> Size:
        """A pixel's size on the print."""
        return Size(self.size_mm.width / self.width_px, self.size_mm.height / self.height_px)

    @property
    def bleed_mm(self) -> Size:
        """The farthest bleed, across and down."""
        edges, pitch = self.bleed_px, self.pitch_mm
        return Size(max(edges.left, edges.right) * pitch.width, max(edges.top, edges.bottom) * pitch.height)

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


def render_photo(
    rgb: Pixels, crop_px: Rect, size_mm: Size, dpi: float = PRINT_DPI, *, bleed_mm: float = 0.0, border: bool = False
) -> Photo:
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
    bleed_mm
        The least bleed, in whole pixels, on every side where the still goes on so far.
    border
        Whether the document allows one.
    """
    width_px = _whole_px(size_mm.width, dpi, crop_px.width)
    height_px = _whole_px(size_mm.height, dpi, crop_px.height)
    across, down = crop_px.width / width_px, crop_px.height / height_px
    wide = math.ceil(bleed_mm / (size_mm.width / width_px) - _FUZZ)
    high = math.ceil(bleed_mm / (size_mm.height / height_px) - _FUZZ)
    edges = Edges(
        wide * (crop_px.x >= wide * across),
        high * (crop_px.y >= high * down),
        wide * (rgb.shape[1] - crop_px.right >= wide * across),
        high * (rgb.shape[0] - crop_px.bottom >= high * down),
    )
    if edges == NO_EDGES:
        return Photo(scale_crop(rgb, crop_px, width_px, height_px), size_mm, border=border)
    outer_px = crop_px.inset(-edges.left * across, -edges.top * down, -edges.right * across, -edges.bottom * down)
    bled = scale_crop(rgb, outer_px, edges.left + width_px + edges.right, edges.top + height_px + edges.bottom)
    trimmed = bled[edges.top : edges.top + height_px, edges.left : edges.left + width_px]
    return Photo(trimmed, size_mm, bled, edges, border)


def scale_crop(rgb: Pixels, crop_px: Rect, width_px: int, height_px: int) -> Pixels:
    """Cut a crop out of a still and scale it to whole pixels, read-only; `render_photo` says how."""
    height, width = rgb.shape[:2]
    box = (
        max(0.0, crop_px.x),
        max(0.0, crop_px.y),
        min(float(width), crop_px.right),
        min(float(height), crop_px.bottom),
    )
    columns = _needed(box[0], box[2], width_px, width)
    rows = _needed(box[1], box[3], height_px, height)
    part = Image.fromarray(np.ascontiguousarray(rgb[rows, columns]))
    inside = (box[0] - columns.start, box[1] - rows.start, box[2] - columns.start, box[3] - rows.start)
    pixels = np.asarray(part.resize((width_px, height_px), Image.Resampling.LANCZOS, box=inside))
    pixels.setflags(write=False)
    return pixels


def _needed(start_px: float, end_px: float, length_px: int, held_px: int) -> slice:
    """Return the pixels of one axis that the filter looks at; only these are copied."""
    reach = _LOBES * max(1.0, (end_px - start_px) / length_px) + 1.0
    return slice(max(0, math.floor(start_px - reach)), min(held_px, math.ceil(end_px + reach)))


def _whole_px(length_mm: float, dpi: float, held_px: float) -> int:
    """Return the pixels along one side: to the nearest, but never more than the crop holds."""
    return max(1, min(round(px_from_mm(length_mm, dpi)), math.floor(held_px + _FUZZ)))
