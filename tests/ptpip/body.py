"""A camera body as the responder has it: pictures, a card, properties, and what is to go wrong next.

`Body` answers the standard operations of PTP (ISO 15740, clause 10); each maker's own are added by a subclass.
"""

from __future__ import annotations

import itertools
import math
import struct
import threading
import time
from collections import Counter
from collections.abc import Callable
from dataclasses import dataclass, field
from datetime import datetime, timedelta
from pathlib import Path
from typing import ClassVar

from tests.ptpip.wire import UINT8, UINT16, UINT32, Property, Request, array, read_value, text, value
from tests.support.exif import marked_with_time

OK, GENERAL_ERROR, NOT_SUPPORTED = 0x2001, 0x2002, 0x2005
BAD_HANDLE, BAD_PROPERTY, STORE_FULL, BUSY = 0x2009, 0x200A, 0x200C, 0x2019
JPEG, JFIF, RAW, FOLDER = 0x3801, 0x3808, 0x3000, 0x3001
STORE = 0x00010001
EVERY_STORE = 0xFFFFFFFF
ROOT, CARD_FOLDER = 0, 0x10000001
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

Answer = tuple[int, bytes | None, tuple[int, ...]]


class StalledError(Exception):
    """The operation is never answered."""


class DroppedError(Exception):
    """The cable has been pulled."""


@dataclass
class Body:
    """One camera, from power on to power off.

    Parameters
    ----------
    live
        JPEG files shown in turn by the live view.
    stills
        JPEG files handed out in turn by the captures.
    frame_interval_s
        Shortest time between two live frames; 0 is as fast as asked.
    raw
        Whether each capture also writes a raw file, "first" or "last".
    raw_after_s
        How long after the JPEG a raw file that comes last is told of.
    button
        What the body's own button takes, in turn; nothing where nobody presses it.
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

    live: list[Path]
    stills: list[Path]
    frame_interval_s: float = 0.0
    raw: str = ""
    raw_after_s: float = 0.0
    button: list[Path] = field(default_factory=list)
    card: bool = False
    reuse: bool = False
    clock_s: float | None = None
    late_s: float = 0.0
    faults: Counter[str] = field(default_factory=Counter)
    objects: dict[int, tuple[str, int, bytes]] = field(default_factory=dict)
    properties: dict[int, Property] = field(default_factory=dict)
    captures: int = 0
    taken: int = 0

    MAKER: ClassVar[str] = "Testbed"
    MODEL: ClassVar[str] = "Testbed"
    EXTENSION: ClassVar[int] = 0

    def __post_init__(self) -> None:
        self._frames = itertools.cycle([path.read_bytes() for path in self.live])
        self._shots = itertools.cycle([path.read_bytes() for path in self.stills])
        self._pressed = itertools.cycle([path.read_bytes() for path in self.button])
        self._numbers = itertools.count(1)
        self._told_lock = threading.Lock()
        self._to_tell: list[tuple[float, int]] = []
        self._due_s = 0.0
        self.operations: dict[int, Callable[[Request], Answer]] = {
            0x1001: lambda _: (OK, self.described(), ()),
            0x1002: self._open_session,
            0x1003: lambda _: (OK, None, ()),
            0x1004: lambda _: (OK, array(UINT32, [STORE]), ()),
            0x1005: lambda _: (OK, self._store(), ()),
            0x1006: lambda _: (OK, None, (len(self.objects),)),
            0x1007: self._handles,
            0x1008: self._object_info,
            0x1009: self._object,
            0x100B: self._delete,
            0x101B: self._partial_object,
            0x1014: lambda request: self._property(request, lambda known, code: known.described(code)),
            0x1015: lambda request: self._property(request, lambda known, _: value(known.kind, known.now)),
            0x1016: self._set_property,
        }

    def answer(self, request: Request) -> Answer:
        """Return the response code, the data if there are any, and the response's parameters.

        Raises
        ------
        StalledError, DroppedError
            As the faults ask.
        """
        operation = self.operations.get(request.code)
        return operation(request) if operation else (NOT_SUPPORTED, None, ())

    def events(self) -> list[tuple[int, int]]:
        """Return the events that go out by the event connection, each a code and a parameter."""
        return []

    def due_handles(self) -> list[int]:
        """Return, once, the pictures of which the body tells now."""
        with self._told_lock:
            now_s = time.monotonic()
            due = [handle for due_s, handle in self._to_tell if due_s <= now_s]
            self._to_tell = [pair for pair in self._to_tell if pair[0] > now_s]
        return [handle for handle in due if handle in self.objects]

    def press(self, *, is_held: bool = False) -> None:
        """Take a picture by the body's own button; one that is held back is told of in the next capture."""
        self._store_picture(next(self._pressed), math.inf if is_held else 0.0)

    def due(self, fault: str) -> bool:
        """Tell whether a fault is to happen now, and count it."""
        if self.faults[fault] <= 0:
            return False
        self.faults[fault] -= 1
        return True

    def described(self) -> bytes:
        """Return the DeviceInfo data set (ISO 15740, 5.5.1)."""
        return b"".join(
            (
                struct.pack("<HIH", 100, self.EXTENSION, 100),
                text(""),
                struct.pack("<H", 0),
                array(UINT16, sorted(self.operations)),
                array(UINT16, [0x4002, 0x4003, 0x400D]),
                array(UINT16, sorted(self.properties)),
                array(UINT16, [JPEG]),
                array(UINT16, [JPEG, RAW]),
                text(self.MAKER),
                text(self.MODEL),
                text("1.0"),
                text("0001"),
            )
        )

    def turn(self, code: int, now: int) -> None:
        """Turn a dial: set a property by hand."""
        self.properties[code].now = now

    def frame(self) -> bytes:
        """Return the next live frame when it is due."""
        if self.due("drop_preview"):
            raise DroppedError
        if self.due("stall_preview"):
            raise StalledError
        now_s = time.monotonic()
        time.sleep(max(0.0, self._due_s - now_s))
        self._due_s = max(self._due_s + self.frame_interval_s, now_s)
        jpeg = next(self._frames)
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
        jpeg = next(self._shots)
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
        number = self._free_number() if self.reuse else next(self._numbers)
        with self._told_lock:
            for place, (suffix, kind, content) in enumerate(files):
                handle = FIRST_HANDLE + 2 * number + place
                self.objects[handle] = (f"DSC_{number:04}.{suffix}", kind, content)
                waits_s = after_s + (self.raw_after_s if self.raw == "last" and kind == RAW else 0.0)
                self._to_tell.append((time.monotonic() + waits_s, handle))

    def _free_number(self) -> int:
        taken = {(handle - FIRST_HANDLE) // 2 for handle in self.objects}
        return next(number for number in itertools.count(1) if number not in taken)

    def now(self) -> datetime:
        """Return what the body's clock shows."""
        return datetime.now().astimezone() + timedelta(seconds=self.clock_s or 0.0)

    def _stamped(self, jpeg: bytes) -> bytes:
        """Return the picture with the time at which it was taken, by the body's clock."""
        return jpeg if self.clock_s is None else marked_with_time(jpeg, self.now())

    def _open_session(self, _: Request) -> Answer:
        return OK, None, ()

    def _store(self) -> bytes:
        free = 0 if self.faults["full"] > 0 else 1000
        return struct.pack("<HHHQQI", 4, 3, 0, 32 << 30, free << 24, free) + text("card") + text("")

    def _handles(self, request: Request) -> Answer:
        """Return the handles in a folder; a parent of all ones asks for the root, zero for everything."""
        parent = request.params[2]
        if not self.card or parent == CARD_FOLDER:
            return OK, array(UINT32, list(self.objects)), ()
        return OK, array(UINT32, [CARD_FOLDER, *(() if parent else self.objects)]), ()

    def _object_info(self, request: Request) -> Answer:
        is_folder = self.card and request.params[0] == CARD_FOLDER
        known = ("100TESTB", FOLDER, b"") if is_folder else self.objects.get(request.params[0])
        if known is None:
            return BAD_HANDLE, None, ()
        name, kind, content = known
        thumbnail = (JFIF, 9216, 160, 120)  # libgphoto2 downloads no raw file without one
        parent = CARD_FOLDER if self.card and not is_folder else ROOT
        sizes = struct.pack("<IHHIHIIIIIIIHII", STORE, kind, 0, len(content), *thumbnail, 0, 0, 24, parent, 0, 0, 0)
        return OK, sizes + text(name) + text("20260101T000000") + text("20260101T000000") + text(""), ()

    def _object(self, request: Request) -> Answer:
        known = self.objects.get(request.params[0])
        return (OK, known[2], ()) if known else (BAD_HANDLE, None, ())

    def _partial_object(self, request: Request) -> Answer:
        handle, start, length = request.params[:3]
        known = self.objects.get(handle)
        if known is None:
            return BAD_HANDLE, None, ()
        part = known[2][start : start + length]
        return OK, part, (len(part),)

    def _delete(self, request: Request) -> Answer:
        return (OK if self.objects.pop(request.params[0], None) else BAD_HANDLE), None, ()

    def _property(self, request: Request, told: Callable[[Property, int], bytes]) -> Answer:
        code = request.params[0]
        known = self.properties.get(code)
        if known is not None and code == DATE_TIME:
            known.now = f"{self.now():%Y%m%dT%H%M%S}"
        return (OK, told(known, code), ()) if known else (BAD_PROPERTY, None, ())

    def _set_property(self, request: Request) -> Answer:
        known = self.properties.get(request.params[0])
        if known is None:
            return BAD_PROPERTY, None, ()
        known.now = read_value(known.kind, request.data)
        return OK, None, ()


BATTERY, DATE_TIME = 0x5001, 0x5011


def battery(percent: int) -> Property:
    """Return the property of the battery's charge."""
    return Property(UINT8, percent)
