"""PTP/IP on the wire: packets (CIPA DC-005) and the data sets of PTP (ISO 15740), little-endian throughout."""

from __future__ import annotations

import socket
import struct
from collections.abc import Sequence
from dataclasses import dataclass

INIT_COMMAND, INIT_COMMAND_ACK, INIT_EVENT, INIT_EVENT_ACK = 1, 2, 3, 4
REQUEST, RESPONSE, EVENT, START_DATA, DATA, END_DATA = 6, 7, 8, 9, 10, 12

UINT8, UINT16, UINT32 = 0x0002, 0x0004, 0x0006
STRING = 0xFFFF
_CODES = {UINT8: "B", UINT16: "H", UINT32: "I"}
_PACKET = struct.Struct("<II")

Value = int | str


@dataclass(frozen=True)
class Request:
    """One operation: its code, transaction, parameters, and the data that came with it."""

    code: int
    transaction: int
    params: tuple[int, ...]
    data: bytes = b""


class GoneError(Exception):
    """The other side has closed the connection."""


def receive(connection: socket.socket) -> tuple[int, bytes]:
    """Return the type and payload of the next packet.

    Raises
    ------
    GoneError
        There is none.
    """
    length, kind = _PACKET.unpack(_exactly(connection, _PACKET.size))
    return kind, _exactly(connection, length - _PACKET.size)


def send(connection: socket.socket, kind: int, payload: bytes = b"") -> None:
    """Send one packet.

    Raises
    ------
    GoneError
        Nobody takes it.
    """
    _send(connection, _packet(kind, payload))


def receive_request(connection: socket.socket) -> Request:
    """Return the next operation, with its data where it brings some."""
    kind, payload = receive(connection)
    while kind != REQUEST:
        kind, payload = receive(connection)
    phase, code, transaction = struct.unpack_from("<IHI", payload)
    params = struct.unpack(f"<{(len(payload) - 10) // 4}I", payload[10:])
    data = b""
    if phase == 2:
        while kind != END_DATA:
            kind, payload = receive(connection)
            data += payload[4:] if kind in (DATA, END_DATA) else b""
    return Request(code, transaction, params, data)


def send_answer(
    connection: socket.socket, transaction: int, code: int, data: bytes | None, params: Sequence[int] = ()
) -> None:
    """Send an operation's data, where it has any, and its response, without a pause between the packets."""
    response = _packet(RESPONSE, struct.pack(f"<HI{len(params)}I", code, transaction, *params))
    _send(connection, response if data is None else _with_data(transaction, data) + response)


def send_half(connection: socket.socket, transaction: int, data: bytes) -> None:
    """Announce an operation's data and send half of it."""
    packets = _with_data(transaction, data)
    _send(connection, packets[: len(packets) // 2])


def _with_data(transaction: int, data: bytes) -> bytes:
    start = _packet(START_DATA, struct.pack("<IQ", transaction, len(data)))
    return start + _packet(END_DATA, struct.pack("<I", transaction), data)


def _packet(kind: int, *payload: bytes) -> bytes:
    return b"".join((_PACKET.pack(_PACKET.size + sum(map(len, payload)), kind), *payload))


def _send(connection: socket.socket, packets: bytes) -> None:
    try:
        connection.sendall(packets)
    except OSError:
        raise GoneError from None


def _exactly(connection: socket.socket, size: int) -> bytes:
    data = bytearray()
    while len(data) < size:
        try:
            part = connection.recv(size - len(data))
        except OSError:
            raise GoneError from None
        if not part:
            raise GoneError
        data += part
    return bytes(data)


def text(words: str) -> bytes:
    """Return a PTP string: its length with the closing zero in one byte, then UTF-16."""
    return struct.pack("B", len(words) + 1) + (words + "\0").encode("utf-16-le") if words else b"\0"


def array(kind: int, values: Sequence[int]) -> bytes:
    """Return a PTP array: a 32-bit count, then the values."""
    return struct.pack(f"<I{len(values)}{_CODES[kind]}", len(values), *values)


def value(kind: int, content: Value) -> bytes:
    """Return one value of a property."""
    return text(content) if isinstance(content, str) else struct.pack(f"<{_CODES[kind]}", content)


def read_value(kind: int, data: bytes) -> Value:
    """Return the value that was sent for a property."""
    if kind == STRING:
        return data[1 : 1 + 2 * data[0]].decode("utf-16-le").rstrip("\0")
    number: int = struct.unpack_from(f"<{_CODES[kind]}", data)[0]
    return number


@dataclass
class Property:
    """A device property: its type, its value, and the values it may take; a property without choices is read only.

    One that is a range states its first and its last value.
    """

    kind: int
    now: Value
    choices: tuple[Value, ...] = ()
    is_range: bool = False

    def described(self, code: int) -> bytes:
        """Return its DevicePropDesc data set (ISO 15740, 13.3.3)."""
        head = struct.pack("<HHB", code, self.kind, bool(self.choices))
        current = value(self.kind, self.now)
        if not self.choices:
            return head + current + current + b"\0"
        listed = b"".join(value(self.kind, choice) for choice in self.choices)
        if self.is_range:
            return head + current + current + b"\1" + listed + value(self.kind, 1)
        return head + current + current + struct.pack("<BH", 2, len(self.choices)) + listed
