"""The file to upload: a JPEG within an authority's limits of pixels and bytes."""

from __future__ import annotations

import io
import math
from collections.abc import Iterator
from dataclasses import dataclass

from PIL import Image

from kiosk.core.base.geometry import Range, Rect, Size
from kiosk.core.document.upload import UPLOAD_PX_PER_INCH, PixelRule, Upload
from kiosk.errors import TooFewPixels
from kiosk.render.drawing.canvas import Pixels
from kiosk.render.drawing.srgb_profile import srgb_profile
from kiosk.render.sheet.photo import Photo, scale_crop

QUALITY = range(85, 101)
"""The JPEG qualities to try; below 85 blocks become visible on skin (practice)."""

PHOTO_QUALITY = 95
"""The JPEG quality of a print's photo, whose size nobody limits: no block shows at 600 dpi (practice)."""

_SHRINK = 0.92
_NO_SUBSAMPLING = 0


@dataclass(frozen=True, slots=True)
class UploadFile:
    """A finished file: baseline JPEG in sRGB with resolution and colour profile, and no other metadata."""

    jpeg: bytes
    width_px: int
    height_px: int
    quality: int

    @property
    def words(self) -> str:
        """The file in words."""
        return f"{self.width_px} x {self.height_px} px, {len(self.jpeg)} bytes, to be sent unchanged"


def upload_file(rgb: Pixels, crop_px: Rect, upload: Upload, *, document: str, path: str) -> UploadFile | None:
    """Return the largest picture, at the best quality, that satisfies the rules of an upload.

    Pixels are scaled once, directly from the still, and never enlarged. Larger pictures are tried first, each at the
    best quality within the limits of bytes.

    Returns
    -------
    UploadFile or None
        None if no size and quality yields a permitted number of bytes; a very plain picture may stay below the minimum.

    Raises
    ------
    TooFewPixels
        The crop is smaller than the smallest permitted picture.
    """
    least = upload.pixels.smallest
    held = min(crop_px.width / least.width, crop_px.height / least.height)
    sizes = list(_sizes(crop_px, upload.pixels))
    if not sizes:
        raise TooFewPixels(
            path=path,
            found_dpi=math.floor(held * UPLOAD_PX_PER_INCH),
            document=document,
            needed_dpi=UPLOAD_PX_PER_INCH,
        )
    for width_px, height_px in sizes:
        window = upload.bytes_window(width_px, height_px)
        found = _best_quality(scale_crop(rgb, crop_px, width_px, height_px), window)
        if found is not None:
            jpeg, quality = found
            return UploadFile(jpeg, width_px, height_px, quality)
    return None


def _sizes(crop_px: Rect, rule: PixelRule) -> Iterator[tuple[int, int]]:
    """Yield the permitted sizes in pixels, from the largest that the crop holds to the smallest."""
    shape = Size(*map(float, rule.aspect)) if rule.aspect else Size(crop_px.width, crop_px.height)
    most = min(
        min(crop_px.width, rule.max_width or math.inf) / shape.width,
        min(crop_px.height, rule.max_height or math.inf) / shape.height,
    )
    least = max(rule.min_width / shape.width, rule.min_height / shape.height)
    unit = most
    while unit >= least * (1 - 1e-9):
        width_px, height_px = _whole(shape, unit, rule)
        if width_px >= rule.min_width and height_px >= rule.min_height:
            yield width_px, height_px
        unit = unit * _SHRINK if unit * _SHRINK >= least or unit == least else least


def _whole(shape: Size, unit: float, rule: PixelRule) -> tuple[int, int]:
    """Return a size in whole pixels, rounded down; if the rule has an aspect ratio, an exact multiple of it."""
    if rule.aspect:
        unit = math.floor(unit + 1e-6)
    return math.floor(shape.width * unit + 1e-6), math.floor(shape.height * unit + 1e-6)


def _best_quality(pixels: Pixels, window: Range) -> tuple[bytes, int] | None:
    """Return the file with the highest quality within the limits of bytes, found by bisection."""
    picture, best = Image.fromarray(pixels), None
    low, high = QUALITY.start, QUALITY.stop - 1
    while low <= high:
        quality = (low + high) // 2
        jpeg = _encoded(picture, quality)
        if window.high is not None and len(jpeg) > window.high:
            high = quality - 1
        else:
            best, low = (jpeg, quality), quality + 1
    return best if best is not None and window.contains(len(best[0])) else None


def photo_jpeg(photo: Photo) -> bytes:
    """Return a print's photo as a file that prints at its true size, at `PHOTO_QUALITY`."""
    across, down = photo.dpi
    return _encoded(Image.fromarray(photo.pixels), PHOTO_QUALITY, (round(across), round(down)))


def _encoded(
    picture: Image.Image, quality: int, dpi: tuple[float, float] = (UPLOAD_PX_PER_INCH, UPLOAD_PX_PER_INCH)
) -> bytes:
    file = io.BytesIO()
    picture.save(
        file,
        "JPEG",
        quality=quality,
        subsampling=_NO_SUBSAMPLING,
        dpi=dpi,
        icc_profile=srgb_profile(),
    )
    return file.getvalue()
