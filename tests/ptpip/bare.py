"""The least that gets data from the responder: one socket, one operation at a time, no library (CIPA DC-005)."""

from __future__ import annotations

import socket
import struct
from typing import Self

from tests.ptpip.wire import END_DATA, INIT_COMMAND, REQUEST, RESPONSE, receive, send

OPEN_SESSION, START_LIVE_VIEW, LIVE_IMAGE = 0x1002, 0x9201, 0x9203


class BareClient:
    """A connection to a Nikon responder's live view."""

    def __init__(self, port: int) -> None:
        self._socket = socket.create_connection(("127.0.0.1", port))
        self._socket.setsockopt(socket.IPPROTO_TCP, socket.TCP_NODELAY, 1)
        self._transaction = 0
        send(self._socket, INIT_COMMAND, bytes(16) + "bare\0".encode("utf-16-le") + b"\0\0\1\0")
        receive(self._socket)
        self.ask(OPEN_SESSION, 1)
        self.ask(START_LIVE_VIEW)

    def __enter__(self) -> Self:
        return self

    def __exit__(self, *_: object) -> None:
        self._socket.close()

    def frame(self, header_bytes: int) -> bytes:
        """Return the next live frame, the body's own header taken off."""
        return self.ask(LIVE_IMAGE)[header_bytes:]

    def ask(self, code: int, *params: int) -> bytes:
        """Return the data of one operation."""
        self._transaction += 1
        send(self._socket, REQUEST, struct.pack(f"<IHI{len(params)}I", 1, code, self._transaction, *params))
        data = b""
        while True:
            kind, payload = receive(self._socket)
            if kind == END_DATA:
                data = payload[4:]
            elif kind == RESPONSE:
                return data
