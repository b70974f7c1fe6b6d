"""A body that speaks Canon's EOS extension of PTP, as far as libgphoto2 2.5.34 asks for it.

The operations', properties' and events' numbers and the events' layouts are those of libgphoto2's `camlibs/ptp2`.
"""

from __future__ import annotations

import struct
from dataclasses import dataclass, field
from typing import ClassVar

from tests.ptpip.body import BUSY, CARD_FOLDER, OK, STORE, STORE_FULL, Answer, Body
from tests.ptpip.wire import UINT32, Request, array

NOT_READY = 0xA102
PROPERTY_CHANGED, CHOICES_CHANGED, OBJECT_ADDED, TRANSFER_ASKED = 0xC189, 0xC18A, 0xC181, 0xC186
APERTURE, SHUTTER, ISO, EXPOSURE_MODE, BATTERY_POWER = 0xD101, 0xD102, 0xD103, 0xD105, 0xD111
CAMERA_TIME, AVAILABLE_SHOTS = 0xD113, 0xD11B
DESTINATION, LIVE_OUTPUT, LIVE_MODE = 0xD11C, 0xD1B0, 0xD1B1
TO_MEMORY = 4


@dataclass
class CanonBody(Body):
    """Operations 0x9101 to 0x9154."""

    MAKER: ClassVar[str] = "Canon Inc."
    MODEL: ClassVar[str] = "Canon EOS 0D Responder"
    EXTENSION: ClassVar[int] = 0x0B

    waiting: list[bytes] = field(default_factory=list)

    def __post_init__(self) -> None:
        super().__post_init__()
        self.values = {
            APERTURE: (0x30, (0x28, 0x30, 0x38)),
            SHUTTER: (0x70, (0x68, 0x70, 0x78)),
            ISO: (0x58, (0x48, 0x50, 0x58)),
            EXPOSURE_MODE: (3, ()),
            BATTERY_POWER: (2, ()),
            AVAILABLE_SHOTS: (100, ()),
            DESTINATION: (2, (2,) if self.card else (2, TO_MEMORY)),
            LIVE_OUTPUT: (0, (0, 1, 2)),
            LIVE_MODE: (1, (0, 1)),
        }
        self.operations |= {
            0x9101: lambda _: (OK, array(UINT32, [STORE]), ()),
            0x9102: lambda _: (OK, self._store(), ()),
            0x9104: self._object,
            0x9107: self._partial_object,
            0x9108: lambda _: (OK, array(UINT32, []) + array(UINT32, list(self.values)) + array(UINT32, []), ()),
            0x910F: lambda _: self._capture(),
            0x9110: self._set_value,
            0x9114: lambda _: self._remote(),
            0x9115: lambda _: (OK, None, ()),
            0x9116: lambda _: (OK, self._events_told(), ()),
            0x9117: self._delete,
            0x911A: lambda _: self._room(),
            0x911B: lambda _: (OK, None, ()),
            0x911C: lambda _: (OK, None, ()),
            0x9127: lambda _: (OK, None, ()),
            0x9128: self._release,
            0x9129: lambda _: (OK, None, ()),
            0x9153: self._live_image,
            0x9154: lambda _: (OK, None, ()),
        }

    def _remote(self) -> Answer:
        if self.clock_s is not None:
            now = self.now()
            self.values[CAMERA_TIME] = (round(now.timestamp() + now.utcoffset().total_seconds()), ())
        for code, (now, choices) in self.values.items():
            self.waiting.append(_event(PROPERTY_CHANGED, struct.pack("<II", code, now)))
            listed = struct.pack(f"<III{len(choices)}I", code, 3, len(choices), *choices)
            self.waiting.append(_event(CHOICES_CHANGED, listed))
        return OK, None, ()

    def turn(self, code: int, now: int) -> None:
        """Turn a dial, and tell of it."""
        self.values[code] = (now, self.values[code][1])
        self.waiting.append(_event(PROPERTY_CHANGED, struct.pack("<II", code, now)))

    def _room(self) -> Answer:
        self.waiting.append(_event(PROPERTY_CHANGED, struct.pack("<II", AVAILABLE_SHOTS, 100)))
        return OK, None, ()

    def _set_value(self, request: Request) -> Answer:
        _, code, now = struct.unpack_from("<III", request.data)
        if code in self.values:
            self.turn(code, now)
        return OK, None, ()

    def _live_image(self, _: Request) -> Answer:
        if not self.values[LIVE_OUTPUT][0]:
            return NOT_READY, None, ()
        if self.due("busy_preview"):
            return NOT_READY, None, ()
        jpeg = self.frame()
        return OK, struct.pack("<II", 8 + len(jpeg), 1) + jpeg, ()

    def _release(self, request: Request) -> Answer:
        if request.params[0] == 1:
            return OK, None, (0,)
        code, data, params = self._capture()
        return code, data, params or (0,)

    def _capture(self) -> Answer:
        """Press the button through; a lens that finds no focus answers as a busy body does (user reports)."""
        if self.due("focus") or self.due("busy_capture"):
            return BUSY, None, ()
        if self.due("full"):
            return STORE_FULL, None, ()
        self.capture()
        return OK, None, (0,)

    def _added(self, handle: int) -> bytes:
        """Return the event that tells of a picture."""
        name, kind, content = self.objects[handle]
        told = name.encode() + b"\0"
        if self.values[DESTINATION][0] == TO_MEMORY:
            return _event(TRANSFER_ASKED, struct.pack("<IHHIII", handle, kind, 0, 0, len(content), 0) + told)
        parent = CARD_FOLDER if self.card else 0
        head = struct.pack("<IIIIIIII", handle, STORE, kind, 0, 0, len(content), parent, handle)
        return _event(OBJECT_ADDED, head + told)

    def _events_told(self) -> bytes:
        told, self.waiting = [*self.waiting, *map(self._added, self.due_handles())], []
        return b"".join(told) + struct.pack("<II", 8, 0)


def _event(code: int, content: bytes) -> bytes:
    return struct.pack("<II", 8 + len(content), code) + content
