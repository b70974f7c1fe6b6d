"""A port of the loopback for a program that takes it later, or again: nobody else is given it meanwhile."""

import socket


def reserved_port() -> tuple[socket.socket, int]:
    """Return a socket that is to be closed at the end, and its port, on which a program may listen all the same.

    A bound socket keeps its port from those that ask for any; one that listens may share it where both have said
    SO_REUSEADDR, as servers do (socket(7)).
    """
    held = socket.socket()
    held.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
    held.bind(("127.0.0.1", 0))
    return held, int(held.getsockname()[1])
