"""What comes over an RTSP connection, cut into messages and the packets between them (RFC 2326, 4 to 7 and 10.12)."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass

LONGEST_MESSAGE_BYTES = 64 << 10
"""The longest message that is read; a description of a stream (SDP) takes some hundred bytes (practice)."""

_PACKET_MARK = ord("$")
_PACKET_HEADER_BYTES = 4
_END_OF_LINE = b"\r\n"
_END_OF_HEAD = b"\r\n\r\n"

_HEAD = re.compile(rb"[ -~]+(\r\n[A-Za-z0-9-]+:[\t -~\x80-\xff]*)*")
"""A head that can be read in one way only. FFmpeg ends a line at any line feed and leaves carriage returns out, so that
a looser reader would pass on a reply as part of another's header or body."""


class NoRtsp(ValueError):
    """What came is no RTSP."""


@dataclass(frozen=True, slots=True)
class Packet:
    """One packet of RTP or RTCP, on its channel."""

    channel: int
    payload: bytes

    def as_bytes(self) -> bytes:
        """Return it as it is sent."""
        return bytes((_PACKET_MARK, self.channel)) + len(self.payload).to_bytes(2, "big") + self.payload


class RtspMessage:
    """One request or reply.

    Attributes
    ----------
    raw
        As it came, with its body.
    start
        The method of a request or the version of a reply, and what follows on that line.
    body
        What follows its header fields.

    Raises
    ------
    NoRtsp
        Its head is none.
    """

    def __init__(self, head: bytes, body: bytes) -> None:
        if not _HEAD.fullmatch(head):
            raise NoRtsp
        self.raw = head + _END_OF_HEAD + body
        self.body = body.decode("utf-8", "replace")
        first, *fields = head.decode("utf-8", "replace").split("\r\n")
        self.start = first.split(" ")
        pairs = (field.partition(":") for field in fields)
        self._fields = {name.strip().lower(): value.strip() for name, _, value in pairs}

    @property
    def status(self) -> int | None:
        """The status of a reply, or None for a request.

        Raises
        ------
        NoRtsp
            It is a reply of another protocol.
        """
        if "/" not in self.start[0]:
            return None
        if not self.start[0].startswith("RTSP/") or len(self.start) < 2 or not self.start[1].isdecimal():
            raise NoRtsp
        return int(self.start[1])

    def field(self, name: str) -> str:
        """Return a header field, or nothing if it is missing."""
        return self._fields.get(name.lower(), "")


class RtspReader:
    """Cuts a stream of bytes into messages and packets."""

    def __init__(self) -> None:
        self._waiting = bytearray()

    def read(self, data: bytes) -> Iterator[Packet | RtspMessage]:
        """Yield what is complete, in its order.

        Raises
        ------
        NoRtsp
            It is no RTSP.
        """
        self._waiting += data
        while self._waiting:
            if self._waiting.startswith(_END_OF_LINE):
                del self._waiting[: len(_END_OF_LINE)]
                continue
            length = self._packet_bytes() if self._waiting[0] == _PACKET_MARK else self._message_bytes()
            if length is None or len(self._waiting) < length:
                return
            whole = bytes(self._waiting[:length])
            del self._waiting[:length]
            if whole[0] == _PACKET_MARK:
                yield Packet(whole[1], whole[_PACKET_HEADER_BYTES:])
            else:
                head, _, body = whole.partition(_END_OF_HEAD)
                yield RtspMessage(head, body)

    def _packet_bytes(self) -> int | None:
        if len(self._waiting) < _PACKET_HEADER_BYTES:
            return None
        return _PACKET_HEADER_BYTES + int.from_bytes(self._waiting[2:_PACKET_HEADER_BYTES], "big")

    def _message_bytes(self) -> int | None:
        end = self._waiting.find(_END_OF_HEAD, 0, LONGEST_MESSAGE_BYTES)
        if end < 0:
            if len(self._waiting) >= LONGEST_MESSAGE_BYTES:
                raise NoRtsp
            return None
        length = RtspMessage(bytes(self._waiting[:end]), b"").field("Content-Length") or "0"
        if not length.isdecimal() or int(length) > LONGEST_MESSAGE_BYTES:
            raise NoRtsp
        return end + len(_END_OF_HEAD) + int(length)
