"""Whether what was sent has arrived: a phone that lost the network is not yet one that has the file."""

from __future__ import annotations

import asyncio
import fcntl
import socket
import struct
import termios

LOOK_S = 0.1
"""How often the connection is looked at."""
ARRIVES_S = 20.0
"""How long the last part of a file may take; a phone that asks again begins anew."""

GOODBYE_BYTES = 64
"""A phone that has everything may close the connection without hearing the end of TLS, which takes 24 bytes (RFC 8446,
6.1, encrypted)."""


class Transfer:
    """A connection over which a file is being sent.

    Until the phone has all of it, the end of the connection is also the end of what the kernel still holds for it: a
    phone that has stopped reading would else keep a part of the file after its process has ended.

    Attributes
    ----------
    transport
        That of the connection.
    """

    def __init__(self, transport: asyncio.Transport) -> None:
        self.transport = transport
        self._connection: socket.socket = transport.get_extra_info("socket").dup()
        self._drop(True)

    async def has_arrived(self) -> bool:
        """Return whether the phone has acknowledged the file (tcp(7), SIOCOUTQ), within `ARRIVES_S`.

        Nothing must be left twice in a row: between the two looks, the loop hands on what it still had itself. The
        connection may be closed meanwhile, which this holds open.
        """
        empty = 0
        for _ in range(round(ARRIVES_S / LOOK_S)):
            if self._connection.fileno() < 0:
                return False
            empty = empty + 1 if _unacknowledged(self._connection) <= GOODBYE_BYTES else 0
            if empty == 2:
                self._drop(False)
                return True
            await asyncio.sleep(LOOK_S)
        return False

    def abort(self) -> None:
        """Break the transfer off."""
        self.transport.abort()
        self._connection.close()

    def close(self) -> None:
        """Let go of the connection."""
        self._connection.close()

    def _drop(self, at_end: bool) -> None:
        """Say whether what is still to be sent is dropped when the connection is closed (socket(7), SO_LINGER)."""
        self._connection.setsockopt(socket.SOL_SOCKET, socket.SO_LINGER, struct.pack("ii", at_end, 0))


def _unacknowledged(connection: socket.socket) -> int:
    left = fcntl.ioctl(connection.fileno(), termios.TIOCOUTQ, bytes(4))
    return int.from_bytes(left, "little")
