"""A body that speaks Nikon's extension of PTP, as far as libgphoto2 2.5.34 asks for it.

The operations' and properties' numbers are those of libgphoto2's `camlibs/ptp2/ptp.h`.
"""

from __future__ import annotations

import struct
from dataclasses import dataclass, field
from typing import ClassVar

from tests.ptpip.body import BATTERY, BUSY, DATE_TIME, OK, STORE_FULL, Answer, Body, battery
from tests.ptpip.wire import STRING, UINT8, UINT16, UINT32, Property, Request, array

OUT_OF_FOCUS = 0xA002
NOT_LIVE_VIEW = 0xA00B
OBJECT_ADDED, CAPTURE_COMPLETE = 0x4002, 0x400D
LIVE_HEADER = bytes(384)
LIVE_VIEW_STATUS, RECORDING_MEDIA = 0xD1A2, 0xD10B


@dataclass
class NikonBody(Body):
    """Operations 0x90C0 to 0x9207."""

    MAKER: ClassVar[str] = "Nikon Corporation"
    MODEL: ClassVar[str] = "Responder N"
    EXTENSION: ClassVar[int] = 0x0A

    waiting: list[tuple[int, int]] = field(default_factory=list)

    def __post_init__(self) -> None:
        super().__post_init__()
        self.properties |= {
            BATTERY: battery(90),
            0x5003: Property(STRING, "6016x4016", ("6016x4016", "4512x3008")),
            0x5004: Property(UINT8, 7, (2, 4, 7)),  # image quality
            0x5005: Property(UINT16, 2, (2, 4, 5, 6, 7, 0x8010, 0x8011, 0x8013)),  # white balance
            0x5007: Property(UINT16, 560, (400, 560, 800)),  # f-number
            0x500A: Property(UINT16, 0x8010, (0x8010, 0x8011)),  # focus mode
            0x500D: Property(UINT32, 80, (50, 80, 160)),  # exposure time
            0x500E: Property(UINT16, 1, (1, 2, 3, 4)),  # exposure mode
            0x500F: Property(UINT16, 400, (100, 200, 400)),  # ISO
            0xD054: Property(UINT8, 0, (0, 1), is_range=True),  # automatic ISO
            RECORDING_MEDIA: Property(UINT8, 0, (0, 1)),
            LIVE_VIEW_STATUS: Property(UINT8, 0),
        }
        if self.clock_s is not None:
            self.properties[DATE_TIME] = Property(STRING, "", ("",))
        self.operations |= {
            0x90C0: lambda _: self._capture(),
            0x90C1: lambda _: (OUT_OF_FOCUS if self.due("focus") else OK, None, ()),
            0x90C7: lambda _: (OK, self._events_told(), ()),
            0x90C8: self._ready,
            0x90CA: lambda _: (OK, array(UINT16, sorted(self.properties)), ()),
            0x90CB: lambda _: self._capture(),
            0x9201: lambda _: self._live_view(1),
            0x9202: lambda _: self._live_view(0),
            0x9203: self._live_image,
            0x9204: lambda _: (OK, None, ()),
            0x9207: lambda _: self._capture(),
        }

    def _ready(self, _: Request) -> Answer:
        return OK, None, ()

    def _live_view(self, on: int) -> Answer:
        self.properties[LIVE_VIEW_STATUS].now = on
        return OK, None, ()

    def _live_image(self, _: Request) -> Answer:
        if not self.properties[LIVE_VIEW_STATUS].now:
            return NOT_LIVE_VIEW, None, ()
        if self.due("busy_preview"):
            return BUSY, None, ()
        return OK, LIVE_HEADER + self.frame(), ()

    def _capture(self) -> Answer:
        if self.due("focus"):
            return OUT_OF_FOCUS, None, ()
        if self.due("busy_capture"):
            return BUSY, None, ()
        if self.due("full"):
            return STORE_FULL, None, ()
        self.capture()
        self.waiting.append((CAPTURE_COMPLETE, 0))
        return OK, None, ()

    def _events_told(self) -> bytes:
        told, self.waiting = [*((OBJECT_ADDED, handle) for handle in self.due_handles()), *self.waiting], []
        return struct.pack("<H", len(told)) + b"".join(struct.pack("<HI", *event) for event in told)
