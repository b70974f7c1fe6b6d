"""A camera body as the responder has it: what it does (`works.py`), as answers to operations, and its properties.

`Body` answers the standard operations of PTP (ISO 15740, clause 10); each maker's own are added by a subclass.
"""

from __future__ import annotations

import struct
from collections.abc import Callable
from dataclasses import dataclass, field
from typing import ClassVar

from tests.ptpip.wire import UINT8, UINT16, UINT32, Property, Request, array, read_value, text, value
from tests.ptpip.works import JPEG, RAW, Works

OK, GENERAL_ERROR, NOT_SUPPORTED = 0x2001, 0x2002, 0x2005
BAD_HANDLE, BAD_PROPERTY, STORE_FULL, BUSY = 0x2009, 0x200A, 0x200C, 0x2019
JFIF, FOLDER = 0x3808, 0x3001
STORE = 0x00010001
EVERY_STORE = 0xFFFFFFFF
ROOT, CARD_FOLDER = 0, 0x10000001

Answer = tuple[int, bytes | None, tuple[int, ...]]


@dataclass
class Body(Works):
    """One camera that answers; its parameters are those of `Works`."""

    properties: dict[int, Property] = field(default_factory=dict)

    MAKER: ClassVar[str] = "Testbed"
    MODEL: ClassVar[str] = "Testbed"
    EXTENSION: ClassVar[int] = 0

    def __post_init__(self) -> None:
        super().__post_init__()
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
