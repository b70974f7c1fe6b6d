"""The body's clock compared with this machine's: a picture taken before its order belongs to another shot.

A body writes the time of exposure into its stills, in whole seconds of its own clock, which may be set to anything. So
what is known of that clock is by how much it is ahead at least, and it is learned: from what a tethered body says at
the start, and from each still, which was taken before it arrived. Time zones are no hindrance; that they differ by
whole quarters of an hour is all that has to be known of them (IANA time zone database, from memory).
"""

from __future__ import annotations

import io
import time
from dataclasses import dataclass

TOLERANCE_S = 2.0
"""How much earlier than its order a picture may seem: a second by which the body's times are rounded down, and one for
the way to it and back."""

_ZONE_STEP_S = 900.0


@dataclass
class BodyClock:
    """What is known of one body's clock.

    Attributes
    ----------
    ahead_s
        By how many seconds it is at least ahead of the machine's monotonic clock; None while nothing is known.
    is_zone_known
        Whether that holds as it stands, or only up to whole quarters of an hour.
    """

    ahead_s: float | None = None
    is_zone_known: bool = False

    def is_older(self, taken_s: float | None, ordered_s: float, arrived_s: float) -> bool:
        """Return whether a picture was taken before it was ordered, and learn from one that was not.

        A clock that was set back makes one picture seem older; after it nothing is known, and the next one passes.

        Parameters
        ----------
        taken_s
            What the picture says, by the body's clock; None where it says nothing.
        ordered_s, arrived_s
            When it was ordered and when it came, by the machine's monotonic clock.
        """
        if taken_s is None:
            return False
        if self.ahead_s is not None:
            early_s = ordered_s + self.ahead_s - taken_s
            if not self.is_zone_known:
                zone_s = _ZONE_STEP_S * round(early_s / _ZONE_STEP_S)
                self.ahead_s, early_s = self.ahead_s - zone_s, early_s - zone_s
            if early_s > TOLERANCE_S:
                self.ahead_s, self.is_zone_known = None, False
                return True
        least_s = taken_s - arrived_s
        self.ahead_s = least_s if self.ahead_s is None else max(self.ahead_s, least_s)
        self.is_zone_known = True
        return False

    def on_machine_s(self, taken_s: float | None) -> float | None:
        """Return when a picture was taken by the machine's monotonic clock, None where that is not known."""
        if taken_s is None or self.ahead_s is None or not self.is_zone_known:
            return None
        return taken_s - self.ahead_s


def taken_s(jpeg: bytes) -> float | None:
    """Return when a picture was taken, in seconds by the body's clock, or None where it does not say.

    The time is that of the original (Exif tag 0x9003, CIPA DC-008), read as if it were of this machine's time zone.
    """
    from PIL import ExifTags, Image

    try:
        with Image.open(io.BytesIO(jpeg), formats=("JPEG",)) as image:
            original = image.getexif().get_ifd(ExifTags.IFD.Exif).get(ExifTags.Base.DateTimeOriginal)
        return time.mktime(time.strptime(str(original).strip("\0 "), "%Y:%m:%d %H:%M:%S"))
    except (OSError, SyntaxError, ValueError, OverflowError):
        return None
