"""One sitter's file as the booth has it: a process that holds it, and its end.

The process lives as long as the file is to be kept and no longer, so that nothing listens on the network, and nothing
of a sitter is in any memory, once that sitter has gone. The file passes into it as an open descriptor. Nothing here
waits.
"""

from __future__ import annotations

import base64
import contextlib
import logging
import secrets
import socket
from dataclasses import dataclass

from kiosk.core.session.events import FileSaid
from kiosk.core.view.handover import FileWay
from kiosk.errors import os_reason
from kiosk.handover.held_file import HeldFile
from kiosk.handover.messages import FromBooth, Hold, ToPhone, ToStick, said, to_process
from kiosk.page.channel import Channel, socket_pair
from kiosk.page.child_process import Interpreter
from kiosk.page.listening import listening_socket
from kiosk.page.messages import Endpoint, host_of

MODULE = "kiosk.handover.child_main"
CODE_BYTES = 16
"""128 bits, which nobody guesses within the minutes for which a code is good."""
_log = logging.getLogger(__name__)


@dataclass(frozen=True, slots=True)
class Service:
    """How a booth hands files over.

    Attributes
    ----------
    endpoint
        Where a phone finds the file; its first name stands in the link, or else its address. None for no phone.
    sticks
        Which mount points are those of USB sticks; empty for none.
    keep_s
        How long a file is kept once its sitter has chosen a way, in seconds.
    """

    endpoint: Endpoint | None
    sticks: str
    keep_s: float


class HandedFile:
    """One file in a process of its own; for the frame loop's thread alone.

    Parameters
    ----------
    service
        How it is handed over.
    content, name
        The file, and its name without an ending.

    Raises
    ------
    OSError
        The machine has no room for another process.
    """

    def __init__(self, service: Service, content: bytes, name: str) -> None:
        self.link = ""
        self._endpoint = where = service.endpoint
        self._is_over = False
        with contextlib.ExitStack() as closing:
            ours, theirs = socket_pair()
            closing.enter_context(theirs)
            file = closing.enter_context(contextlib.closing(HeldFile.of(content)))
            shared = [closing.enter_context(opened)] if (opened := _opened(where)) is not None else []
            self._port = shared[0].getsockname()[1] if shared else None
            self._channel = Channel(ours)
            try:
                self.process = Interpreter(theirs, file, *shared, module=MODULE)
            except OSError:
                self._channel.close()
                raise
        certificate, key = (where.certificate, where.key) if where is not None else (None, None)
        self._send(Hold(name, service.keep_s, service.sticks, certificate, key))

    def go(self, way: FileWay, language: str) -> FileSaid | None:
        """Have the file go a way, and return why that is not possible, or None."""
        if way == "stick":
            self._send(ToStick())
            return None
        if self._port is None or self._endpoint is None:
            return "offline"
        code = base64.b32encode(secrets.token_bytes(CODE_BYTES)).decode().rstrip("=")
        self.link = _link(self._endpoint, self._port, code)
        self._send(ToPhone(code, language))
        return None

    def poll(self) -> list[FileSaid]:
        """Return what has become of the file since the last call."""
        words: list[FileSaid] = []
        if self._is_over:
            return words
        try:
            while received := self._channel.receive():
                words.append(said(received))
        except (EOFError, ValueError):
            words.append("lost")
        self._is_over = bool({"taken", "late", "lost"} & set(words))
        return words

    def end(self) -> None:
        """End the process, and with it the file; one that hangs while it writes to a stick ends later."""
        self._channel.close()
        self.process.kill()

    def _send(self, message: FromBooth) -> None:
        self._channel.send(to_process(message))


def _opened(where: Endpoint | None) -> socket.socket | None:
    """Return the socket for phones, or None where there is none, or the network is gone for now."""
    if where is None:
        return None
    try:
        return listening_socket(where)
    except OSError as error:
        _log.warning("no phone can take a file at %s, port %d: %s", where.address, where.port, os_reason(error))
        return None


def _link(where: Endpoint, port: int, code: str) -> str:
    """Return the address of a file; in capitals, so that its code takes the fewest modules (ISO/IEC 18004, 7.4.4)."""
    scheme, usual = ("HTTP", 80) if where.certificate is None else ("HTTPS", 443)
    host = host_of(where.names[0] if where.names else where.address)
    return f"{scheme}://{host.upper()}{'' if port == usual else f':{port}'}/{code}"
