"""The sRGB colour profile that is embedded in every file."""

from __future__ import annotations

import struct
from functools import cache

from PIL import ImageCms

_DATE_OFFSET = 24
_FIXED_DATE = struct.pack(">6H", 2000, 1, 1, 0, 0, 0)


@cache
def srgb_profile() -> bytes:
    """Return an ICC profile of sRGB (IEC 61966-2-1) that is the same at every call.

    The colour engine stamps new profiles with the current time; the date field (ICC.1:2010, 7.2.8) is overwritten with
    a fixed day, so that equal sheets give equal files.
    """
    made = ImageCms.ImageCmsProfile(ImageCms.createProfile("sRGB")).tobytes()
    return made[:_DATE_OFFSET] + _FIXED_DATE + made[_DATE_OFFSET + len(_FIXED_DATE) :]
