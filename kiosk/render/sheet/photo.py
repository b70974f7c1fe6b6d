"""The photo: a crop of the still, scaled once and never enlarged.

Still and photo are in sRGB. Nothing else is done to the pixels: no sharpening, no tone mapping, no retouching.
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
"""The highest resolution that any authority requires of a print (Germany, Emirates, Hong Kong)."""

_FUZZ = 1e-6
_LOBES = 3


@dataclass(frozen=True, eq=False, slots=True)
class Photo:
    """A finished photo.

    Attributes
    ----------
    pixels
        The trimmed photo in sRGB, shape (height, width, 3), read-only.
    size_mm
        The trimmed size of the print.
    bled
        The photo with its bleed, or None if it has none; `pixels` is a view into it.
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
        """The width in pixels."""
        return int(self.pixels.shape[1])

    @property
    def height_px(self) -> int:
        """The height in pixels."""
        return int(self.pixels.shape[0])

    @property
    def pitch_mm(self) -> Size:
        """The size of a pixel on the print."""
        return Size(self.size_mm.width / self.width_px, self.size_mm.height / self.height_px)

    @property
    def bleed_mm(self) -> Size:
        """The largest bleed, across and down."""
        edges, pitch = self.bleed_px, self.pitch_mm
        return Size(max(edges.left, edges.right) * pitch.width, max(edges.top, edges.bottom) * pitch.height)

    @property
    def dpi(self) -> tuple[float, float]:
        """Pixels per inch on the print, across and down; they differ slightly, because pixels are whole."""
        across = self.width_px / self.size_mm.width * MM_PER_INCH
        return across, self.height_px / self.size_mm.height * MM_PER_INCH


def crop_dpi(crop_px: Rect, size_mm: Size) -> float:
    """Return the pixels per inch of a crop at print size, in the direction that has fewer."""
    return min(crop_px.width / size_mm.width, crop_px.height / size_mm.height) * MM_PER_INCH


def check_pixels(crop_px: Rect, size_mm: Size, needed_dpi: float, *, path: str, document: str) -> None:
    """Check that a crop has the pixels that its document requires.

    Raises
    ------
    TooFewPixels
        The crop has fewer; the error gives both numbers.
    """
    found = crop_dpi(crop_px, size_mm)
    if found < needed_dpi:
        raise TooFewPixels(path=path, found_dpi=math.floor(found), document=document, needed_dpi=needed_dpi)


def render_photo(
    rgb: Pixels, crop_px: Rect, size_mm: Size, dpi: float = PRINT_DPI, *, bleed_mm: float = 0.0, border: bool = False
) -> Photo:
    """Crop a still and scale it to the print in one step.

    Pixels are resampled with a three-lobed Lanczos filter (Duchon 1979), widened with the scale so that nothing
    aliases; the crop's edges need not fall on whole pixels. The photo has `dpi` pixels per inch, or the crop's own
    resolution if that is lower.

    Parameters
    ----------
    rgb
        The still in sRGB, shape (height, width, 3).
    crop_px
        The frame, inside the still.
    size_mm
        The trimmed size of the print.
    dpi
        The maximum of pixels per inch.
    bleed_mm
        The minimum bleed, rounded up to whole pixels, on every side where the still extends that far.
    border
        Whether the document allows a border.
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
    """Crop a still and scale it to a size in pixels, as described in `render_photo`; the result is read-only."""
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
    """Return the range of pixels on one axis that the filter reads; only these are copied."""
    reach = _LOBES * max(1.0, (end_px - start_px) / length_px) + 1.0
    return slice(max(0, math.floor(start_px - reach)), min(held_px, math.ceil(end_px + reach)))


def _whole_px(length_mm: float, dpi: float, held_px: float) -> int:
    """Return the pixels along one side, rounded to the nearest number but not above that of the crop."""
    return max(1, min(round(px_from_mm(length_mm, dpi)), math.floor(held_px + _FUZZ)))
