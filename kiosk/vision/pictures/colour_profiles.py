"""Conversion to sRGB by embedded ICC profiles, or by the code points of HEIC pictures without a profile."""

from __future__ import annotations

import io
from collections.abc import Mapping

import numpy as np
from numpy.typing import NDArray
from PIL import Image, ImageCms

from kiosk.vision.pictures.arrays import Rgb, linear_light

BT_709, UNSPECIFIED = 1, 2
HIGH_DYNAMIC_RANGE = {16: "PQ", 18: "HLG"}
"""Code points of ITU-T H.273: the primaries of sRGB, unspecified primaries, and the transfer functions of
SMPTE ST 2084 and ARIB STD-B67 (from memory)."""

STRIP_ROWS = 256
"""The number of rows converted at a time; in floating point a whole picture would take 24 bytes per pixel."""

_SRGB = ImageCms.createProfile("sRGB")
_SRGB_XY = ((0.64, 0.33), (0.30, 0.60), (0.15, 0.06), (0.3127, 0.3290))
"""Chromaticities of red, green, blue and white (IEC 61966-2-1)."""


def is_srgb(profile: bytes) -> bool:
    """Return whether a profile names itself sRGB, which saves a conversion of 24 megapixels to themselves."""
    try:
        return "sRGB" in ImageCms.getProfileDescription(ImageCms.ImageCmsProfile(io.BytesIO(profile)))
    except (ImageCms.PyCMSError, OSError, ValueError):
        return False


def from_profile(image: Image.Image, profile: bytes) -> Image.Image | None:
    """Convert a picture from its profile's colours to sRGB; return None where the profile cannot be used."""
    try:
        source = ImageCms.ImageCmsProfile(io.BytesIO(profile))
        kind = source.profile.xcolor_space.strip()
        if kind == "GRAY" and image.mode == "RGB":
            image = image.convert("L")
        return ImageCms.profileToProfile(
            image,
            source,
            _SRGB,
            renderingIntent=ImageCms.Intent.RELATIVE_COLORIMETRIC,
            outputMode="RGB",
            flags=ImageCms.Flags.BLACKPOINTCOMPENSATION,
        )
    except (ImageCms.PyCMSError, OSError, ValueError):
        return None


def high_dynamic_range(codes: Mapping[str, float] | None) -> str | None:
    """Return the name of a transfer function for high dynamic range, which no print can reproduce, or None."""
    return None if codes is None else HIGH_DYNAMIC_RANGE.get(int(codes["transfer_characteristics"]))


def coded_colours(rgb: Rgb, codes: Mapping[str, float]) -> Rgb:
    """Convert a HEIC picture without an ICC profile to sRGB by the chromaticities of its primaries (ITU-T H.273).

    Parameters
    ----------
    rgb
        HxWx3 uint8, as decoded.
    codes
        The colour information box of type nclx (ISO/IEC 23008-12) from pillow-heif. Tones are assumed to be coded
        as in sRGB, from which those of ITU-R BT.709 and BT.601 do not differ in pictures made for a screen.
    """
    if codes["color_primaries"] in {BT_709, UNSPECIFIED}:
        return rgb
    places = tuple(
        (codes[f"color_primary_{name}_x"], codes[f"color_primary_{name}_y"])
        for name in ("red", "green", "blue", "white")
    )
    turn = (np.linalg.inv(_to_xyz(_SRGB_XY)) @ _to_xyz(places)).T.astype(np.float32)
    converted = np.empty_like(rgb)
    for row in range(0, len(rgb), STRIP_ROWS):
        light = np.clip(linear_light(rgb[row : row + STRIP_ROWS]) @ turn, 0, 1)
        code = np.where(light <= 0.0031308, 12.92 * light, 1.055 * light ** (1 / 2.4) - 0.055)
        converted[row : row + STRIP_ROWS] = np.round(255 * code)
    return converted


def _to_xyz(places: tuple[tuple[float, float], ...]) -> NDArray[np.float64]:
    """Return the matrix from linear RGB with these chromaticities to CIE XYZ, with Y = 1 for white."""
    xyz = np.array([(x / y, 1.0, (1 - x - y) / y) for x, y in places]).T
    return np.asarray(xyz[:, :3] * np.linalg.solve(xyz[:, :3], xyz[:, 3]))
