"""Packets of RTP (RFC 3550, 5.1), put together to whole pictures; what is incomplete goes no further.

A decoder that misses a part of a picture paints it over from the pictures before it, and says nothing of it; so do all
pictures that build on this one. Therefore a picture counts only if none of its packets is missing, and after a loss
nothing counts until a picture that is decoded without any before it.
"""

from __future__ import annotations

import struct
from dataclasses import dataclass

from kiosk.devices.rtsp.codecs import Codec

MOST_BYTES = 16 << 20
"""The longest picture, in bytes: a JPEG of 8192 px a side takes less at any usual quality (practice)."""

_HEADER = struct.Struct(">BBHI")
_HEADER_BYTES = 12
_VERSION = 2
_MARKER = 0x80
_NUMBERS = 1 << 16


@dataclass(frozen=True, slots=True)
class Picture:
    """One whole picture: its packets, its time in ticks of the camera's clock, and the form of the video if given."""

    packets: tuple[bytes, ...]
    ticks: int
    form: bytes
    is_independent: bool


def rewritten(packet: bytes, number: int, ticks: int) -> bytes:
    """Return a packet with another number and time."""
    first, second, _, _ = _HEADER.unpack_from(packet)
    return _HEADER.pack(first, second, number % _NUMBERS, ticks % (1 << 32)) + packet[_HEADER.size :]


class Assembler:
    """Puts pictures together.

    Attributes
    ----------
    lost
        How many times something was missing.
    """

    def __init__(self, codec: Codec) -> None:
        self._codec = codec
        self._packets: list[bytes] = []
        self._size_bytes = 0
        self._form = b""
        self._ticks = 0
        self._number: int | None = None
        self._is_independent = False
        self._waits = True
        self.lost = 0

    def add(self, packet: bytes) -> list[Picture]:
        """Take in the next packet, and return the pictures that are whole by it: none, one, or two."""
        if len(packet) < _HEADER_BYTES or packet[0] >> 6 != _VERSION:
            self._lose()
            return []
        _, second, number, ticks = _HEADER.unpack_from(packet)
        if self._number is not None and number != self._number:
            self._lose()
        self._number = (number + 1) % _NUMBERS
        whole = self._ended() if ticks != self._ticks else []
        self._ticks = ticks
        payload = _payload(packet)
        self._is_independent |= self._codec.opens(payload)
        self._form = self._form or self._codec.form(payload)
        self._packets.append(packet)
        self._size_bytes += len(packet)
        if self._size_bytes > MOST_BYTES:
            self._lose()
        return whole + self._ended() if second & _MARKER else whole

    def wait(self) -> None:
        """Return nothing until a picture that is decoded without any before it."""
        self._waits = True

    def _lose(self) -> None:
        self.lost += 1
        self._clear()
        self.wait()

    def _ended(self) -> list[Picture]:
        """Return the picture whose packets have come, if it counts."""
        picture = Picture(tuple(self._packets), self._ticks, self._form, self._is_independent)
        self._waits &= not picture.is_independent
        self._clear()
        return [picture] if picture.packets and not self._waits else []

    def _clear(self) -> None:
        self._packets.clear()
        self._size_bytes = 0
        self._form = b""
        self._is_independent = False


def _payload(packet: bytes) -> bytes:
    start = _HEADER_BYTES + 4 * (packet[0] & 15)
    if packet[0] & 0x10 and len(packet) >= start + 4:
        start += 4 + 4 * int.from_bytes(packet[start + 2 : start + 4], "big")
    end = len(packet) - packet[-1] if packet[0] & 0x20 else len(packet)
    return packet[start:end]
