"""How a packet of RTP carries video: JPEG (RFC 2435), H.264 (RFC 6184) and H.265 (RFC 7798)."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass

CLOCK_HZ = 90_000
"""The clock of all three: RFC 2435, 3; RFC 6184, 8.2.1; RFC 7798, 7.1."""

_FIRST_SLICE = 0x80
"""Of the byte after a slice's header: the first block of the picture is in this slice, coded as a single 1
(`first_mb_in_slice` in ITU-T H.264, 7.3.3, and `first_slice_segment_in_pic_flag` in H.265, 7.3.6.1)."""

_SHORTEST_JPEG_HEADER_BYTES = 8


@dataclass(frozen=True, slots=True)
class Unit:
    """A unit of H.264 or H.265, or the first part of one: its type, and what follows its header."""

    kind: int
    content: bytes


@dataclass(frozen=True, slots=True)
class Codec:
    """What has to be known of a codec.

    Attributes
    ----------
    opens
        Whether a packet's payload begins a picture that is decoded without any before it.
    form
        The first description of the pictures to come, such as their size, in the payload; nothing if there is none.
    """

    opens: Callable[[bytes], bool]
    form: Callable[[bytes], bytes]


def described(sdp: str) -> str | None:
    """Return the name of the codec of the first video in a description (RFC 4566), or None if there is no video."""
    video = re.search(r"^m=video \d+\S* \S+ (\d+).*?(?=^m=|\Z)", sdp, re.MULTILINE | re.DOTALL)
    if video is None:
        return None
    named = re.search(rf"^a=rtpmap:{video[1]} ([\w.-]+)/", video[0], re.MULTILINE)
    static = {"26": "JPEG"}  # RFC 3551, 6
    return named[1].upper() if named else static.get(video[1], f"payload type {video[1]}")


def _opens_jpeg(payload: bytes) -> bool:
    return len(payload) >= _SHORTEST_JPEG_HEADER_BYTES and payload[1:4] == b"\0\0\0"


def _aggregated(payload: bytes, start: int) -> Iterator[bytes]:
    """Yield the units of a packet that carries several, each after its length."""
    while start + 2 < len(payload):
        length = int.from_bytes(payload[start : start + 2], "big")
        yield payload[start + 2 : start + 2 + length]
        start += 2 + length


def _units_264(payload: bytes) -> Iterator[Unit]:
    """Yield the units that begin in a payload (RFC 6184, 5.6 to 5.8)."""
    match payload[0] & 31 if payload else 0:
        case 24:
            yield from (Unit(unit[0] & 31, unit[1:]) for unit in _aggregated(payload, 1) if unit)
        case 28 if len(payload) > 2 and payload[1] & 0x80:
            yield Unit(payload[1] & 31, payload[2:])
        case kind if 0 < kind < 24:
            yield Unit(kind, payload[1:])


def _units_265(payload: bytes) -> Iterator[Unit]:
    """Yield the units that begin in a payload (RFC 7798, 4.4.1 to 4.4.3)."""
    match payload[0] >> 1 & 63 if len(payload) > 3 else 63:
        case 48:
            yield from (Unit(unit[0] >> 1 & 63, unit[2:]) for unit in _aggregated(payload, 2) if unit)
        case 49 if payload[2] & 0x80:
            yield Unit(payload[2] & 63, payload[3:])
        case kind if kind < 48:
            yield Unit(kind, payload[2:])


def _of_units(units: Callable[[bytes], Iterator[Unit]], keys: range, form: int) -> Codec:
    def opens(payload: bytes) -> bool:
        return any(unit.kind in keys and unit.content[:1] >= bytes((_FIRST_SLICE,)) for unit in units(payload))

    return Codec(opens, lambda payload: next((unit.content for unit in units(payload) if unit.kind == form), b""))


CODECS: Mapping[str, Codec] = {
    "JPEG": Codec(_opens_jpeg, lambda _: b""),
    "H264": _of_units(_units_264, keys=range(5, 6), form=7),  # ITU-T H.264, table 7-1
    "H265": _of_units(_units_265, keys=range(16, 22), form=33),  # ITU-T H.265, table 7-1
}
"""By their names in a description."""
