"""The sRGB colour profile that goes into every file."""

from __future__ import annotations

import struct
from functools import cache

from PIL import ImageCms

_DATE_OFFSET = 24
_FIXED_DATE = struct.pack(">6H", 2000, 1, 1, 0, 0, 0)


@cache
def srgb_profile() -> bytes:
    """Return an ICC profile of sRGB (IEC 61966-2-1), the same bytes each time.

    The colour engine stamps a new profile with the time of day; its date field (ICC.1:2010, 7.2.8) is set to a
    fixed day, so that equal sheets are equal files.
    """
    made = ImageCms.ImageCmsProfile(ImageCms.createProfile("sRGB")).tobytes()
    return made[:_DATE_OFFSET] + _FIXED_DATE + made[_DATE_OFFSET + len(_FIXED_DATE) :]
