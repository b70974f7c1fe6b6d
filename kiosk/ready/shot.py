"""The attendant's test shot: findings on the picture, and a small copy to look at, in memory only."""

from __future__ import annotations

import numpy as np
import simplejpeg

from kiosk.core.attendant.state import TrialShot
from kiosk.ready.picture import still_findings
from kiosk.vision.pictures.arrays import resized
from kiosk.vision.pictures.photo_file import decode_still

SHOWN_PX = 1000.0
"""The long side of the copy, in pixels."""


def look_at_shot(jpeg: bytes, still_px: tuple[int, int]) -> TrialShot:
    """Check a test shot, and return the findings in words with a reduced picture.

    Raises
    ------
    UnreadablePhoto
        The picture arrived damaged.
    """
    rgb = decode_still(jpeg)
    findings = still_findings(rgb, still_px)
    report = tuple(each.sentence if each.good else f"{each.sentence} {each.next_step}" for each in findings)
    height, width = rgb.shape[:2]
    factor = min(1.0, SHOWN_PX / max(height, width))
    small = resized(rgb, round(width * factor), round(height * factor)) if factor < 1 else rgb
    return TrialShot(report, simplejpeg.encode_jpeg(np.ascontiguousarray(small), quality=88, colorspace="RGB"))
