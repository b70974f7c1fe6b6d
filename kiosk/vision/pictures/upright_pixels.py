"""The pixels of an opened picture: decoded strictly, converted to sRGB, without transparency, and upright."""

from __future__ import annotations

import numpy as np
import simplejpeg
from PIL import ExifTags, Image

from kiosk.vision.pictures.arrays import Rgb
from kiosk.vision.pictures.colour_profiles import coded_colours, from_profile, is_srgb

JPEG_NAMES = ("JPEG", "MPO")
"""What Pillow calls JPEG, and JPEG with further pictures behind it (CIPA DC-007)."""
DIRECT_MODES = ("RGB", "L")
"""The modes of a JPEG whose pixels need no conversion of their channels."""
_OPAQUE = 255


def camera_pixels(jpeg: bytes, image: Image.Image) -> Rgb:
    """Return the upright pixels of a camera's JPEG: HxWx3 uint8 sRGB.

    Another embedded profile, as from a camera set to a wider gamut, is converted to sRGB.

    Raises
    ------
    ValueError
        The data are damaged or cut short.
    """
    pixels = simplejpeg.decode_jpeg(jpeg, colorspace="RGB", strict=True)
    profile = image.info.get("icc_profile")
    if profile and image.mode in DIRECT_MODES and not is_srgb(profile):
        converted = from_profile(Image.fromarray(pixels), profile)
        pixels = pixels if converted is None else np.asarray(converted)
    return _upright(pixels, image)


def upright_pixels(data: bytes, image: Image.Image) -> tuple[Rgb, tuple[str, ...]]:
    """Return the upright pixels of any picture, HxWx3 uint8 sRGB, and remarks on what its decoding decided.

    JPEG is decoded strictly, because Pillow accepts damaged files.
    """
    profile, remarks = image.info.get("icc_profile"), list[str]()
    if image.format in JPEG_NAMES and image.mode in DIRECT_MODES:
        pixels = simplejpeg.decode_jpeg(data, colorspace="RGB", strict=True)
        if not profile:
            return _upright(pixels, image), ()
        flat = Image.fromarray(pixels)
    else:
        frames = getattr(image, "n_frames", 1)
        if frames > 1 and image.format not in JPEG_NAMES:
            which = "primary" if image.format == "HEIF" else "first"
            remarks.append(f"holds {frames} pictures, of which the {which} one was used")
        image.load()
        flat = _eight_bit(image)
        if flat.has_transparency_data:
            layered = flat.convert("RGBA")
            if np.asarray(layered.getchannel("A")).min() < _OPAQUE:
                remarks.append("has transparent parts, which were filled with white")
            flat = _over_white(layered)
    if not profile and "nclx_profile" in image.info:
        coded = coded_colours(np.asarray(flat.convert("RGB")), image.info["nclx_profile"])
        return _upright(coded, image), tuple(remarks)
    converted = from_profile(flat, profile) if profile else None
    if profile and converted is None:
        remarks.append("has a broken colour profile, and was taken to be in sRGB")
    return _upright(np.asarray(converted or flat.convert("RGB")), image), tuple(remarks)


def _eight_bit(image: Image.Image) -> Image.Image:
    """Convert 16-bit and 32-bit modes to 8-bit grey, palettes and bitmaps to RGBA, and leave other modes unchanged."""
    if image.mode in {"I", "F"} or image.mode.startswith("I;16"):
        return Image.fromarray((np.clip(np.asarray(image, float), 0, 65535) / 257 + 0.5).astype(np.uint8))
    if image.mode in {"1", "P", "PA"}:
        return image.convert("RGBA")
    return image


def _over_white(layered: Image.Image) -> Image.Image:
    """Composite an RGBA picture over white."""
    white = Image.new("RGBA", layered.size, "white")
    return Image.alpha_composite(white, layered).convert("RGB")


def _upright(rgb: Rgb, image: Image.Image) -> Rgb:
    """Apply the EXIF orientation (tag 0x0112, JEITA CP-3451 4.6.4): rows and columns as the camera was held."""
    orientation = image.getexif().get(ExifTags.Base.Orientation, 1)
    turned = {
        2: lambda a: a[:, ::-1],
        3: lambda a: a[::-1, ::-1],
        4: lambda a: a[::-1],
        5: lambda a: a.swapaxes(0, 1),
        6: lambda a: a[::-1].swapaxes(0, 1),
        7: lambda a: a[::-1, ::-1].swapaxes(0, 1),
        8: lambda a: a[:, ::-1].swapaxes(0, 1),
    }.get(orientation, lambda a: a)(rgb)
    return np.ascontiguousarray(turned)
