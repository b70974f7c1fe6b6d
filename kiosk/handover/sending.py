"""Whether what was sent has arrived: a phone that lost the network is not yet one that has the file."""

from __future__ import annotations

import asyncio
import fcntl
import socket
import termios

LOOK_S = 0.1
"""How often the connection is looked at."""
ARRIVES_S = 20.0
"""How long the last part of a file may take; a phone that asks again begins anew."""


async def arrived(connection: socket.socket) -> bool:
    """Return whether the peer has acknowledged everything (tcp(7), SIOCOUTQ), within `ARRIVES_S`.

    Nothing must be left twice in a row: between the two looks, the loop hands on what it still had itself.

    Parameters
    ----------
    connection
        A duplicate of the connection's socket, which is valid after the connection was closed.
    """
    empty = 0
    for _ in range(round(ARRIVES_S / LOOK_S)):
        empty = empty + 1 if _unacknowledged(connection) == 0 else 0
        if empty == 2:
            return True
        await asyncio.sleep(LOOK_S)
    return False


def _unacknowledged(connection: socket.socket) -> int:
    left = fcntl.ioctl(connection.fileno(), termios.TIOCOUTQ, bytes(4))
    return int.from_bytes(left, "little")
