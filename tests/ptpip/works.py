"""What a camera body does, whatever it speaks: it shows and takes pictures, keeps them, and tells of them.

It fails on request: `FAULTS` has what can go wrong next.
"""

from __future__ import annotations

import itertools
import math
import threading
import time
from collections import Counter
from dataclasses import dataclass, field
from datetime import datetime, timedelta

from tests.ptpip.pictures import Pictures
from tests.support.exif import marked_with_time

JPEG, RAW = 0x3801, 0x3000
FIRST_HANDLE = 0x10010001
RAW_FILE = b"II*\0" + bytes(4096)

FAULTS = (
    "focus",  # the capture is refused for want of focus
    "full",  # the capture is refused because the card is full
    "busy_capture",  # a capture finds the camera busy, throughout
    "busy_preview",  # a live frame finds the camera busy, throughout
    "no_object",  # the capture succeeds and no picture comes of it
    "press_at_capture",  # the body's own button is pressed while an ordered picture is taken
    "late_object",  # the capture succeeds, and its picture is told of `late_s` later
    "stall_capture",  # the capture is never answered
    "stall_late",  # the capture is never answered, and its picture is told of `late_s` later all the same
    "stall_preview",  # the live frame is never answered
    "truncate",  # the still's second half is missing; the object tells the shorter length
    "flip",  # one byte of the still is inverted
    "huge_preview",  # the live frame's header says 65535 x 65535
    "no_preview",  # the live frame is no picture
    "drop_preview",  # the cable is pulled during the live view
    "drop_capture",  # the cable is pulled during the capture
    "drop_download",  # the cable is pulled in the middle of the still's data
)


class StalledError(Exception):
    """The operation is never answered."""


class DroppedError(Exception):
    """The cable has been pulled."""


@dataclass
class Works:
    """One camera, from power on to power off.

    Parameters
    ----------
    pictures
        What it shows and takes.
    frame_interval_s
        Shortest time between two live frames; 0 is as fast as asked.
    raw
        Whether each capture also writes a raw file, "first" or "last".
    raw_after_s
        How long after the JPEG a raw file that comes last is told of.
    card
        Whether every picture lies on a card, in a folder, because the body has no memory for it.
    reuse
        Whether a new picture takes the lowest handle and number that are free.
    clock_s
        How far the body's clock is ahead of the machine's; None of a body that keeps no time. One that does writes it
        into its stills.

    Attributes
    ----------
    late_s
        How long after it was taken a late picture is told of.
    """

    pictures: Pictures
    frame_interval_s: float = 0.0
    raw: str = ""
    raw_after_s: float = 0.0
    card: bool = False
    reuse: bool = False
    clock_s: float | None = None
    late_s: float = 0.0
    faults: Counter[str] = field(default_factory=Counter)
    objects: dict[int, tuple[str, int, bytes]] = field(default_factory=dict)
    captures: int = 0
    taken: int = 0

    def __post_init__(self) -> None:
        self._numbers = itertools.count(1)
        self._told_lock = threading.Lock()
        self._to_tell: list[tuple[float, int]] = []
        self._due_s = 0.0

    def due_handles(self) -> list[int]:
        """Return, once, the pictures of which the body tells now."""
        with self._told_lock:
            now_s = time.monotonic()
            due = [handle for due_s, handle in self._to_tell if due_s <= now_s]
            self._to_tell = [pair for pair in self._to_tell if pair[0] > now_s]
        return [handle for handle in due if handle in self.objects]

    def press(self, *, is_held: bool = False) -> None:
        """Take a picture by the body's own button; one that is held back is told of in the next capture."""
        self._store_picture(self.pictures.pressed(), math.inf if is_held else 0.0)

    def due(self, fault: str) -> bool:
        """Tell whether a fault is to happen now, and count it."""
        if self.faults[fault] <= 0:
            return False
        self.faults[fault] -= 1
        return True

    def frame(self) -> bytes:
        """Return the next live frame when it is due."""
        if self.due("drop_preview"):
            raise DroppedError
        if self.due("stall_preview"):
            raise StalledError
        now_s = time.monotonic()
        time.sleep(max(0.0, self._due_s - now_s))
        self._due_s = max(self._due_s + self.frame_interval_s, now_s)
        jpeg = self.pictures.live()
        if self.due("huge_preview"):
            place = jpeg.index(b"\xff\xc0") + 5  # SOF0 (ITU-T T.81, B.2.2): marker, length, precision, height, width
            jpeg = jpeg[:place] + b"\xff" * 4 + jpeg[place + 4 :]
        return b"no picture" * 100 if self.due("no_preview") else jpeg

    def capture(self) -> None:
        """Take a picture that was ordered."""
        self.captures += 1
        if self.due("drop_capture"):
            raise DroppedError
        if self.due("stall_capture"):
            raise StalledError
        if self.due("no_object"):
            return
        with self.pictures.shot():
            self._take()

    def _take(self) -> None:
        jpeg = self.pictures.ordered()
        self.taken += 1
        if self.due("truncate"):
            jpeg = jpeg[: len(jpeg) // 2]
        if self.due("flip"):
            middle = len(jpeg) // 2
            jpeg = jpeg[:middle] + bytes([jpeg[middle] ^ 0xFF]) + jpeg[middle + 1 :]
        if self.due("press_at_capture"):
            self.press()
        with self._told_lock:
            self._to_tell = [(0.0 if due_s == math.inf else due_s, handle) for due_s, handle in self._to_tell]
        stalls = self.due("stall_late")
        self._store_picture(jpeg, self.late_s if stalls or self.due("late_object") else 0.0)
        if stalls:
            raise StalledError

    def _store_picture(self, jpeg: bytes, after_s: float = 0.0) -> None:
        """Put a picture on the card, and tell of it after a while."""
        files = [("JPG", JPEG, self._stamped(jpeg))]
        if self.raw:
            files.insert(0 if self.raw == "first" else 1, ("NEF", RAW, RAW_FILE))
        with self._told_lock:
            number = self._free_number() if self.reuse else next(self._numbers)
            for place, (suffix, kind, content) in enumerate(files):
                handle = FIRST_HANDLE + 2 * number + place
                self.objects[handle] = (f"DSC_{number:04}.{suffix}", kind, content)
                waits_s = after_s + (self.raw_after_s if self.raw == "last" and kind == RAW else 0.0)
                self._to_tell.append((time.monotonic() + waits_s, handle))

    def _free_number(self) -> int:
        taken = {(handle - FIRST_HANDLE) // 2 for handle in list(self.objects)}
        return next(number for number in itertools.count(1) if number not in taken)

    def now(self) -> datetime:
        """Return what the body's clock shows."""
        return datetime.now().astimezone() + timedelta(seconds=self.clock_s or 0.0)

    def _stamped(self, jpeg: bytes) -> bytes:
        """Return the picture with the time at which it was taken, by the body's clock."""
        return jpeg if self.clock_s is None else marked_with_time(jpeg, self.now())
