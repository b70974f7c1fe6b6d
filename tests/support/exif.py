"""Stills as a body that keeps time writes them."""

from __future__ import annotations

import struct
from datetime import datetime

from PIL import ExifTags, Image


def marked_with_time(jpeg: bytes, taken: datetime) -> bytes:
    """Return the picture with the time at which it was taken (Exif tag 0x9003, CIPA DC-008), its data as they were."""
    exif = Image.Exif()
    exif.get_ifd(ExifTags.IFD.Exif)[ExifTags.Base.DateTimeOriginal] = f"{taken:%Y:%m:%d %H:%M:%S}"
    segment = exif.tobytes()
    return jpeg[:2] + struct.pack(">2sH", b"\xff\xe1", 2 + len(segment)) + segment + jpeg[2:]
