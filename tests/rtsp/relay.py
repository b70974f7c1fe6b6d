"""A bad line between a server and a client of RTSP: what comes from the server may get lost or be changed."""

from __future__ import annotations

import contextlib
import socket
import threading
from collections.abc import Callable

from kiosk.devices.rtsp.wire import Packet, RtspMessage, RtspReader


class Relay:
    """One connection after another, each to the same server.

    Attributes
    ----------
    spoil
        Is given every packet of the video, and returns it as it arrives, or nothing if it is lost.
    sent
        What the server has sent, unspoilt.
    """

    def __init__(self, port: int, spoil: Callable[[bytes], bytes] = lambda packet: packet) -> None:
        self.spoil = spoil
        self.sent: list[Packet | RtspMessage] = []
        self._server_port = port
        self._listener = socket.create_server(("127.0.0.1", 0))
        self.port: int = self._listener.getsockname()[1]
        threading.Thread(target=self._accept, daemon=True).start()

    def close(self) -> None:
        """Accept no more."""
        self._listener.shutdown(socket.SHUT_RDWR)
        self._listener.close()

    def _accept(self) -> None:
        with contextlib.suppress(OSError):
            while True:
                client, _ = self._listener.accept()
                server = socket.create_connection(("127.0.0.1", self._server_port))
                threading.Thread(target=_copied, args=(client, server), daemon=True).start()
                threading.Thread(target=self._spoilt, args=(server, client), daemon=True).start()

    def _spoilt(self, server: socket.socket, client: socket.socket) -> None:
        reader = RtspReader()
        with contextlib.suppress(OSError), server, client:
            while data := server.recv(65536):
                for part in reader.read(data):
                    self.sent.append(part)
                    if isinstance(part, Packet) and part.channel == 0:
                        payload = self.spoil(part.payload)
                        client.sendall(Packet(0, payload).as_bytes() if payload else b"")
                    else:
                        client.sendall(part.as_bytes() if isinstance(part, Packet) else part.raw)


class Replay:
    """A server that says again what another has said, to one client that asks the same, as fast as it listens."""

    def __init__(self, sent: list[Packet | RtspMessage]) -> None:
        self._replies = [part.raw for part in sent if isinstance(part, RtspMessage)]
        self._packets = [part.as_bytes() for part in sent if isinstance(part, Packet)]
        self._listener = socket.create_server(("127.0.0.1", 0))
        self.port: int = self._listener.getsockname()[1]
        threading.Thread(target=self._serve, daemon=True).start()

    def close(self) -> None:
        """Accept no more."""
        self._listener.shutdown(socket.SHUT_RDWR)
        self._listener.close()

    def _serve(self) -> None:
        with contextlib.suppress(OSError, IndexError), self._listener.accept()[0] as client:
            reader = RtspReader()
            while data := client.recv(65536):
                for request in reader.read(data):
                    if isinstance(request, RtspMessage):
                        client.sendall(self._replies.pop(0))
                        if request.start[0] == "PLAY":
                            client.sendall(b"".join(self._packets))
                            client.shutdown(socket.SHUT_WR)


def _copied(source: socket.socket, target: socket.socket) -> None:
    with contextlib.suppress(OSError):
        while data := source.recv(65536):
            target.sendall(data)
        target.shutdown(socket.SHUT_RDWR)
