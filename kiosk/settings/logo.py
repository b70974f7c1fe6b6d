"""The shop's logo: a PNG file that the settings name."""

from __future__ import annotations

import io
import struct

from PIL import Image

from kiosk.errors import SettingsRefused, os_reason
from kiosk.settings import Settings

MOST_BYTES = 1_000_000
MOST_PX = 2000
"""The largest file and the longest side of a logo: thirty times as high as it is shown, and decoded in a moment."""
SIGNATURE = b"\x89PNG\r\n\x1a\n"
HEADER_BYTES = 25
"""The size of the header's chunk, with length, name and checksum (ISO/IEC 15948, 11.2.2)."""
LEAST_PX = 64
"""The least height: that at which it is shown on a screen of 1080 pixels."""


def read_logo(settings: Settings) -> bytes | None:
    """Return the PNG file of the shop's logo, whole and decodable; None if the settings name none.

    Raises
    ------
    SettingsRefused
        The file cannot be read, is no PNG, is damaged, or is too large or too small.
    """
    if not settings.screen.logo:
        return None
    path = settings.path(settings.screen.logo)
    try:
        if path.stat().st_size > MOST_BYTES:
            raise _refused(settings, f"{path} is larger than {MOST_BYTES // 1000} kB; save it smaller")
        png = path.read_bytes()
    except OSError as error:
        raise _refused(settings, f"{path}: {os_reason(error)}") from error
    if not png.startswith(SIGNATURE) or len(png) < len(SIGNATURE) + HEADER_BYTES:
        raise _refused(settings, f"{path} is no PNG file; export the logo as PNG")
    width, height = struct.unpack_from(">II", png, len(SIGNATURE) + 8)
    if max(width, height) > MOST_PX or height < LEAST_PX:
        sizes = f"{LEAST_PX} to {MOST_PX} of height are taken, and at most {MOST_PX} of width"
        raise _refused(settings, f"{path} has {width} x {height} pixels; {sizes}")
    try:
        with Image.open(io.BytesIO(png), formats=["PNG"]) as image:
            image.load()
    except (OSError, SyntaxError, ValueError) as error:
        raise _refused(settings, f"{path} is damaged; export the logo as PNG again") from error
    return png


def _refused(settings: Settings, detail: str) -> SettingsRefused:
    return SettingsRefused(path=settings.file, where="screen.logo", detail=detail)
