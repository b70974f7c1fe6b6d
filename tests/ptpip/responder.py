"""The responder: a camera body on a loopback port, in a process of its own, told by lines what is to go wrong.

    python -m tests.ptpip.responder --maker nikon --live LIVE... --still STILL...
    python -m tests.ptpip.responder --maker nikon --marked

Prints its port. Then it reads its standard input: `fault NAME COUNT` lets something go wrong that many times (0 ends
it), `off` pulls the cable and refuses connections, `on` lets them in again, `battery PERCENT` sets the charge, `press`
presses the body's own button (`press held`: it tells of that in the next capture), `late SECONDS` says how much later a
late picture is told of, `clock SECONDS` sets the body's clock so far ahead of the machine's, `turn CODE VALUE`
turns a dial, `objects` asks how many files it holds, `taken` how many pictures were ordered and taken, `busy` how many
seconds it has spent on answering. One whose pictures are marked (`marked.py`) is told with `sitter NUMBER` who sits
there, and `ordered NUMBER` asks whether an exposure was ordered. It answers each line, mostly with `ok`, and ends with
its input.
"""

from __future__ import annotations

import argparse
import contextlib
import os
import socket
import sys
import threading
import time
from pathlib import Path

from tests.ptpip.body import BATTERY, Body, battery
from tests.ptpip.canon import CanonBody
from tests.ptpip.marked import MarkedPictures
from tests.ptpip.nikon import NikonBody
from tests.ptpip.pictures import FilePictures, Pictures
from tests.ptpip.wire import (
    INIT_COMMAND,
    INIT_COMMAND_ACK,
    INIT_EVENT_ACK,
    GoneError,
    Request,
    receive,
    receive_request,
    send,
    send_answer,
    send_half,
)
from tests.ptpip.works import FAULTS, DroppedError, StalledError

MAKERS: dict[str, type[Body]] = {"canon": CanonBody, "nikon": NikonBody}
IDENTIFIER = bytes(range(16))
GET_OBJECT = 0x1009
LEAST_PICTURE_BYTES = 4096


class Responder:
    """The listening port and its connections."""

    def __init__(self, body: Body) -> None:
        self._body = body
        self._connections: set[socket.socket] = set()
        self._lock = threading.Lock()
        self._listener = socket.create_server(("127.0.0.1", 0))
        self.port: int = self._listener.getsockname()[1]
        self.on = True
        self.busy_s = 0.0
        threading.Thread(target=self._accept, daemon=True).start()

    def pull(self) -> None:
        """Break every connection, as a pulled cable does."""
        with self._lock:
            for connection in self._connections:
                with contextlib.suppress(OSError):
                    connection.shutdown(socket.SHUT_RDWR)

    def _accept(self) -> None:
        while True:
            connection, _ = self._listener.accept()
            if not self.on:
                connection.close()
                continue
            connection.setsockopt(socket.IPPROTO_TCP, socket.TCP_NODELAY, 1)
            threading.Thread(target=self._attend, args=(connection,), daemon=True).start()

    def _attend(self, connection: socket.socket) -> None:
        with self._lock:
            self._connections.add(connection)
        try:
            kind, _ = receive(connection)
            if kind == INIT_COMMAND:
                name = (self._body.MODEL + "\0").encode("utf-16-le")
                send(connection, INIT_COMMAND_ACK, b"\1\0\0\0" + IDENTIFIER + name + b"\0\0\1\0")
                self._command(connection)
            else:
                send(connection, INIT_EVENT_ACK)
                receive(connection)
        except GoneError:
            pass
        except DroppedError:
            self.pull()
        finally:
            with self._lock:
                self._connections.discard(connection)
            connection.close()

    def _command(self, connection: socket.socket) -> None:
        while True:
            request = receive_request(connection)
            began_s = time.perf_counter()
            try:
                code, data, params = self._body.answer(request)
            except StalledError:
                continue
            if data is not None and self._breaks_off(request, data):
                send_half(connection, request.transaction, data)
                raise DroppedError
            send_answer(connection, request.transaction, code, data, params)
            self.busy_s += time.perf_counter() - began_s

    def _breaks_off(self, request: Request, data: bytes) -> bool:
        return request.code == GET_OBJECT and len(data) > LEAST_PICTURE_BYTES and self._body.due("drop_download")


def obey(line: str, body: Body, responder: Responder) -> str:
    """Do what a line says, and return the answer."""
    match line.split():
        case ["fault", name, count] if name in FAULTS:
            body.faults[name] = int(count)
        case ["off"]:
            responder.on = False
            responder.pull()
        case ["on"]:
            responder.on = True
        case ["battery", percent]:
            body.properties[BATTERY] = battery(int(percent))
        case ["press", *held]:
            body.press(is_held=bool(held))
        case ["late", seconds]:
            body.late_s = float(seconds)
        case ["clock", seconds]:
            body.clock_s = float(seconds)
        case ["turn", code, now]:
            body.turn(int(code), int(now))
        case ["sitter", number] if isinstance(body.pictures, MarkedPictures):
            body.pictures.sit(int(number))
        case _:
            return _told(line, body, responder)
    return "ok"


def _told(line: str, body: Body, responder: Responder) -> str:
    """Return the answer to a question."""
    match line.split():
        case ["taken"]:
            return str(body.taken)
        case ["objects"]:
            return str(len(body.objects))
        case ["busy"]:
            return str(responder.busy_s)
        case ["ordered", number] if isinstance(body.pictures, MarkedPictures):
            return str(body.pictures.exposures.known[int(number)].is_of_an_order)
    raise ValueError(line)


def main() -> None:
    """Serve until the input ends."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--maker", choices=MAKERS, default="nikon")
    parser.add_argument("--live", type=Path, nargs="+", default=[])
    parser.add_argument("--still", type=Path, nargs="+", default=[])
    parser.add_argument("--marked", action="store_true")
    parser.add_argument("--frame-interval-s", type=float, default=0.0)
    parser.add_argument("--raw", choices=["first", "last"], default="")
    parser.add_argument("--raw-after-s", type=float, default=0.0)
    parser.add_argument("--button", type=Path, nargs="+", default=[])
    parser.add_argument("--card", action="store_true")
    parser.add_argument("--reuse", action="store_true")
    parser.add_argument("--clock-s", type=float)
    options = vars(parser.parse_args())
    maker, files = options.pop("maker"), [options.pop(name) for name in ("live", "still", "button")]
    pictures: Pictures = FilePictures(*files)
    if options.pop("marked"):
        pictures = MarkedPictures()
    body = MAKERS[maker](pictures, **options)
    responder = Responder(body)
    print(responder.port, flush=True)
    for line in sys.stdin:
        print(obey(line, body, responder), flush=True)
    os._exit(0)


if __name__ == "__main__":
    main()
