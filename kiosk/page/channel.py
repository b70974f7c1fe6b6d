"""One end of the connection between the booth and the page's process; neither ever waits for the other."""

from __future__ import annotations

import socket

MOST_BYTES = 1 << 17
"""The largest message: half of what the kernel holds for a socket by default (socket(7), wmem_default); the attendant's
view has some thousand bytes."""


def socket_pair() -> tuple[socket.socket, socket.socket]:
    """Return two connected sockets that keep the bounds of messages (unix(7), SOCK_SEQPACKET)."""
    return socket.socketpair(socket.AF_UNIX, socket.SOCK_SEQPACKET)


class Channel:
    """Whole messages through a socket of `socket_pair`; what waits in between is bounded by the kernel's buffer."""

    def __init__(self, end: socket.socket) -> None:
        self._end = end
        end.setblocking(False)

    def fileno(self) -> int:
        """Return the socket's descriptor."""
        return self._end.fileno()

    def send(self, message: bytes) -> bool:
        """Send a message; return False where there is no room for it, or nobody to read it."""
        try:
            self._end.send(message)
        except OSError:
            return False
        return True

    def receive(self) -> bytes | None:
        """Return the next message, None where there is none now.

        Raises
        ------
        EOFError
            The other end is closed, and everything it sent has been read.
        """
        try:
            received = self._end.recv(MOST_BYTES)
        except BlockingIOError:
            return None
        except OSError as error:
            raise EOFError from error
        if not received:
            raise EOFError
        return received

    def close(self) -> None:
        """Close this end."""
        self._end.close()
