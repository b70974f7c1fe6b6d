"""Decode pictures from files and from the camera into upright sRGB arrays."""

from __future__ import annotations

import io
import math
import stat
import warnings
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from functools import cache
from pathlib import Path

from PIL import ExifTags, Image, ImageFile

from kiosk.core.base.picture_size import MAX_MEGAPIXELS
from kiosk.errors import NoPhotoFile, PhotoSizeRefused, UnreadablePhoto, os_reason
from kiosk.vision.pictures.arrays import Rgb
from kiosk.vision.pictures.colour_profiles import high_dynamic_range
from kiosk.vision.pictures.upright_pixels import JPEG_NAMES, camera_pixels, upright_pixels

MAX_BYTES = 768_000_000
"""The largest file that is read: `MAX_MEGAPIXELS` of three channels in 16 bits, uncompressed, and some room for what
cameras store beside the picture."""

MIN_SIDE_PX = 90
"""The smallest side accepted: no smaller picture can hold the 90 px between the eyes that ISO/IEC 19794-5:2011
requires."""

FULL_FRAME_MM = math.hypot(36.0, 24.0)
"""Diagonal of the 35 mm picture to which equivalent focal lengths refer (CIPA DCG-001, from memory)."""

FORMATS = ("JPEG", "PNG", "TIFF", "WEBP", "BMP", "HEIF")
"""The formats that cameras, phones and scanners write; others that Pillow could open are refused."""

_JPEG, _PDF = b"\xff\xd8", b"%PDF-"
_DAMAGED = (OSError, SyntaxError, TypeError, ValueError)
"""What Pillow and the decoders raise for a damaged file; the third for a TIFF without a size."""
_HEIC = {b"ftyp" + brand for brand in (b"heic", b"heix", b"mif1")}

ImageFile.LOAD_TRUNCATED_IMAGES = False


@dataclass(frozen=True, slots=True, eq=False)
class DecodedPhoto:
    """A decoded picture file.

    Attributes
    ----------
    rgb
        HxWx3 uint8, sRGB, upright.
    format
        JPEG, PNG and so on, according to the file's content.
    size_bytes
        Size of the file.
    dpi
        Pixels per inch across and down as stored in the file, or None. Scanners write a meaningful number, cameras an
        arbitrary one.
    focal_length_px
        The lens's focal length in px of the picture, if the camera stored it.
    taken_at
        When it was taken by the camera's clock, as Exif has it (tag 0x9003, "2026:11:29 10:00:00"), if it was stored.
    remarks
        What was assumed or left out in decoding, each as the end of a sentence about the file.
    """

    rgb: Rgb
    format: str
    size_bytes: int
    dpi: tuple[float, float] | None = None
    focal_length_px: float | None = None
    taken_at: str | None = None
    remarks: tuple[str, ...] = ()


def read_photo(path: Path) -> DecodedPhoto:
    """Read a picture file: upright by its EXIF orientation, converted to sRGB, with transparency filled with white.

    Grey, palette, CMYK and 16-bit pictures are converted by their embedded profile; a picture without one,
    or with an unreadable one, is assumed to be in sRGB. Of several pictures in a file the first is read, in HEIC the
    primary one. Whatever was thus decided for the user is among the remarks. A truncated HEIC file is refused; other
    damage to one cannot be detected, because HEVC (ITU-T H.265) has no checksum.

    Raises
    ------
    NoPhotoFile
        The file is missing, may not be read, or is a folder, a device or a pipe.
    UnreadablePhoto
        The file is empty, too large, truncated, damaged or not a picture, or it is coded for a high dynamic range.
    PhotoSizeRefused
        A side is shorter than `MIN_SIDE_PX`, or the picture has more than `MAX_MEGAPIXELS`.
    """
    data = _content(path)
    with _header(path, data) as image:
        _check_size(path, image)
        hdr = high_dynamic_range(image.info.get("nclx_profile"))
        if hdr is not None:
            raise UnreadablePhoto(path=path, detail=f"its tones are coded in {hdr}, for a high dynamic range")
        try:
            rgb, remarks = upright_pixels(data, image)
        except _DAMAGED as error:
            raise UnreadablePhoto(path=path, detail=f"it is damaged or cut short ({_reason(error)})") from None
        lens_px, taken_at = _focal_length_px(image), _taken_at(image)
        return DecodedPhoto(rgb, image.format or "unknown", len(data), _dpi(image), lens_px, taken_at, remarks)


def _content(path: Path) -> bytes:
    """Return the bytes of a file of at most `MAX_BYTES`; a pipe or a device may never end, and is not opened."""
    try:
        about = path.stat()
        if not stat.S_ISREG(about.st_mode):
            raise NoPhotoFile(path=path, detail="it is a folder" if stat.S_ISDIR(about.st_mode) else "it is no file")
        if about.st_size > MAX_BYTES:
            detail = f"it has {about.st_size / 1e6:,.0f} MB, and at most {MAX_BYTES / 1e6:,.0f} MB are read"
            raise UnreadablePhoto(path=path, detail=detail)
        data = path.read_bytes()
    except OSError as error:
        raise NoPhotoFile(path=path, detail=os_reason(error)) from None
    if not data:
        raise UnreadablePhoto(path=path, detail="the file is empty")
    return data


def decode_still(jpeg: bytes) -> Rgb:
    """Decode a camera's JPEG strictly, and turn it upright by its EXIF orientation: HxWx3 uint8 sRGB.

    Another embedded profile, as from a camera set to a wider gamut, is converted to sRGB.

    Raises
    ------
    UnreadablePhoto
        The data are not a complete, undamaged JPEG.
    PhotoSizeRefused
        As by `read_photo`.
    """
    name = Path("the camera's picture")
    with _header(name, jpeg) as image:
        if image.format not in JPEG_NAMES:
            raise UnreadablePhoto(path=name, detail="it is no JPEG")
        _check_size(name, image)
        try:
            return camera_pixels(jpeg, image)
        except ValueError as error:
            raise UnreadablePhoto(path=name, detail=f"it is damaged or cut short ({_reason(error)})") from None


def still_focal_length_px(jpeg: bytes) -> float | None:
    """Return the focal length in px that the camera stored in a JPEG, or None."""
    with _header(Path("the camera's picture"), jpeg) as image:
        return _focal_length_px(image)


def _focal_length_px(image: Image.Image) -> float | None:
    """Convert the EXIF 35 mm equivalent focal length (tag 0xA405) to px by the ratio of the diagonals."""
    try:
        equivalent_mm = float(image.getexif().get_ifd(ExifTags.IFD.Exif)[ExifTags.Base.FocalLengthIn35mmFilm])
    except (KeyError, TypeError, ValueError, OSError, SyntaxError, ZeroDivisionError):
        return None
    return equivalent_mm * math.hypot(*image.size) / FULL_FRAME_MM if equivalent_mm > 0 else None


def _taken_at(image: Image.Image) -> str | None:
    try:
        original = image.getexif().get_ifd(ExifTags.IFD.Exif).get(ExifTags.Base.DateTimeOriginal)
    except (KeyError, TypeError, ValueError, OSError, SyntaxError):
        return None
    return str(original) if original else None


@contextmanager
def _header(path: Path, data: bytes) -> Iterator[Image.Image]:
    """Open a picture without decoding it; `_check_size` replaces Pillow's own size warning."""
    formats = ("JPEG",) if data.startswith(_JPEG) else _formats()
    pillow_limit = Image.MAX_IMAGE_PIXELS
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        Image.MAX_IMAGE_PIXELS = None
        try:
            image = Image.open(io.BytesIO(data), formats=formats)
        except _DAMAGED:
            raise UnreadablePhoto(path=path, detail=f"it is {_kind(data)}") from None
        finally:
            Image.MAX_IMAGE_PIXELS = pillow_limit
        with image:
            yield image


@cache
def _formats() -> tuple[str, ...]:
    """Return `FORMATS`, once Pillow knows HEIC; loading its library would delay every command that is given a JPEG."""
    from pillow_heif import register_heif_opener

    register_heif_opener(thumbnails=False, depth_images=False, aux_images=False)
    return FORMATS


def _kind(data: bytes) -> str:
    """Return a description of a file that no decoder accepts."""
    if data.startswith(_PDF):
        return "a PDF, no picture"
    return "a HEIC picture that is damaged or cut short" if data[4:12] in _HEIC else "no picture in a known format"


def _check_size(path: Path, image: Image.Image) -> None:
    if min(image.size) < MIN_SIDE_PX:
        limit = f"each side needs at least {MIN_SIDE_PX} pixels"
    elif image.width * image.height > MAX_MEGAPIXELS * 1_000_000:
        limit = f"at most {MAX_MEGAPIXELS} megapixels are opened"
    else:
        return
    raise PhotoSizeRefused(path=path, width_px=image.width, height_px=image.height, limit=limit)


def _reason(error: Exception) -> str:
    return str(error).strip().rstrip(".") or type(error).__name__


def _dpi(image: Image.Image) -> tuple[float, float] | None:
    across, down = (float(number) for number in image.info.get("dpi", (0, 0)))
    if not (math.isfinite(across) and math.isfinite(down) and min(across, down) > 1):
        return None
    is_turned = image.getexif().get(ExifTags.Base.Orientation, 1) >= 5
    return (down, across) if is_turned else (across, down)
