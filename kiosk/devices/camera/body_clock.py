"""The body's clock compared with this machine's: a picture taken before its order belongs to another shot.

A body writes the time of exposure into its stills, in whole seconds of its own clock, which may be set to anything. So
what is known of that clock is by how much it is ahead at least, and it is learned: from what a tethered body says at
the start, and from each picture, which was taken before it arrived. Time zones are no hindrance; that they differ by
whole quarters of an hour is all that has to be known of them (IANA time zone database, from memory).
"""

from __future__ import annotations

import io
import time
from dataclasses import dataclass, field

TOLERANCE_S = 2.0
"""How much earlier than its order a picture may seem: a second by which the body's times are rounded down, and one for
the way to it and back."""

ALWAYS_LATE_S = 600.0
"""How long a transfer through a network may take again and again, to the second (practice: no longer)."""

_ZONE_STEP_S = 900.0
_ALIKE = 2
"""How many pictures in a row must seem too old by the same, before a third one shows that the clock was set back."""
_APART_S = 3.0
"""How far apart they must come at least: those that were held up together come together."""


@dataclass
class BodyClock:
    """What is known of one body's clock.

    Attributes
    ----------
    ahead_s
        By how many seconds it is at least ahead of the machine's monotonic clock; None while nothing is known.
    is_zone_known
        Whether that holds as it stands, or only up to whole quarters of an hour.
    late_s
        How late every picture may come. A clock that was set back by less is not told from that: its pictures seem too
        old for so long after each order.
    """

    ahead_s: float | None = None
    is_zone_known: bool = False
    late_s: float = 0.0
    _refused: list[tuple[float, float]] = field(default_factory=list)

    def is_older(self, taken_s: float | None, ordered_s: float, arrived_s: float) -> bool:
        """Return whether a picture was taken before it was ordered, and learn from one that was not.

        Pictures of a clock that was set back seem older, until `follow` is told so or the third one is off by the same.

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
                if not self._was_set_back(taken_s - arrived_s, arrived_s):
                    return True
                self.ahead_s = None
        self._refused = []
        self.learn(taken_s, arrived_s)
        return False

    def learn(self, taken_s: float | None, arrived_s: float) -> None:
        """Learn from a picture, whosever it is, that it was taken before it arrived."""
        if taken_s is None:
            return
        least_s = taken_s - arrived_s
        self.ahead_s = least_s if self.ahead_s is None else max(self.ahead_s, least_s)
        self.is_zone_known = True

    def follow(self, set_by_s: float) -> None:
        """Follow the body's clock, which was set forward by so many seconds, or back where there are less than none."""
        if self.ahead_s is not None:
            self.ahead_s += set_by_s

    def _was_set_back(self, least_s: float, arrived_s: float) -> bool:
        """Return whether a picture that seems too old and those before it show that; else remember it."""
        if self.ahead_s is None or self.ahead_s - least_s <= self.late_s:
            return False
        alike = [each for each in self._refused if abs(each[0] - least_s) <= TOLERANCE_S]
        if alike and arrived_s - alike[-1][1] < _APART_S:
            return False
        self._refused = [*alike, (least_s, arrived_s)]
        return len(alike) >= _ALIKE

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
    except (OSError, SyntaxError, ValueError, OverflowError, Image.DecompressionBombError):
        return None
