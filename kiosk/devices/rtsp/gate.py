"""The gate between the camera and FFmpeg, which never has a connection to the network itself.

FFmpeg follows a server that sends it to another address, decodes what has holes in it, and keeps what it has not yet
been asked for. So it connects to this gate on the machine itself, and the gate to the one host that the settings name.
Requests and replies pass unchanged, but none that leads elsewhere. Of the video only whole pictures pass
(`pictures.Assembler`), each with the time at which it was taken (`lateness.TakenTimes`) in place of the camera's, which
FFmpeg hands out with the decoded picture; and none is kept for long.
"""

from __future__ import annotations

import selectors
import socket
import threading
import time
from collections import deque

from kiosk.devices.camera.driver import NotThere
from kiosk.devices.rtsp.codecs import CLOCK_HZ
from kiosk.devices.rtsp.conversation import ADVICE_ADDRESS, Conversation
from kiosk.devices.rtsp.lateness import JUMP_S, TakenTimes
from kiosk.devices.rtsp.pictures import Assembler, Picture, rewritten
from kiosk.devices.rtsp.wire import NoRtsp, Packet, RtspMessage, RtspReader
from kiosk.errors import CameraFault, os_reason

CONNECT_S = 3.0
"""How long the camera may take to accept a connection (practice: a second in any network of a site)."""

SILENCE_S = JUMP_S
"""How long the connection may be silent, in seconds."""

MOST_WAITING = 60
"""How many pictures may wait to be decoded, two seconds of thirty; then none is let through until the decoder can start
afresh."""

_LOOK_S = 0.1
_CHUNK_BYTES = 256 << 10


class Gate:
    """One connection to one camera, from `open` to `close`.

    Parameters
    ----------
    host, port
        The camera's.
    identifies
        Whether FFmpeg has a user and a password for it.

    Attributes
    ----------
    lost
        How many times a part of a picture was missing.
    """

    def __init__(self, host: str, port: int, *, identifies: bool = False) -> None:
        self._address = host, port
        self._name = host
        self._conversation = Conversation(host, identifies=identifies)
        self._fault: CameraFault | None = None
        self._ended = threading.Event()
        self._thread: threading.Thread | None = None
        self._listener: socket.socket | None = None
        self._assembler: Assembler | None = None
        self._form = b""
        self._times = TakenTimes()
        self._begin_s: float | None = None
        self._position_ticks = -1
        self._number = 0
        self._waiting: deque[float] = deque()
        self._has_read = False
        self._heard_s = 0.0

    @property
    def lost(self) -> int:
        """How many times a part of a picture was missing."""
        return self._assembler.lost if self._assembler else 0

    def open(self) -> int:
        """Connect to the camera, and return the port of this machine's own at which FFmpeg finds it.

        Raises
        ------
        NotThere
            The camera cannot be reached.
        """
        try:
            camera = socket.create_connection(self._address, CONNECT_S)
        except OSError as error:
            advice = (
                "Check its power and network cable, camera.address, and that the booth's service may reach it; the "
                "booth connects again by itself."
            )
            reason = "it does not answer" if isinstance(error, TimeoutError) else os_reason(error)
            raise NotThere(detail=f"no network camera is reached at {self._name}: {reason}", advice=advice) from error
        self._listener = socket.create_server(("127.0.0.1", 0), backlog=1)
        self._thread = threading.Thread(target=self._serve, args=(camera,), name="camera gate", daemon=True)
        self._thread.start()
        port: int = self._listener.getsockname()[1]
        return port

    def close(self) -> None:
        """End the connection; may be called in any state."""
        self._ended.set()
        if self._thread is not None:
            self._thread.join()
        if self._listener is not None:
            self._listener.close()

    def ended(self) -> CameraFault | None:
        """Wait for the end of a connection that FFmpeg has lost or left, and return the reason where it is known."""
        if self._thread is not None:
            self._thread.join(CONNECT_S)
        return self._fault

    def taken_s(self, position_s: float) -> float:
        """Return when the decoded picture at a position was taken, on this machine's monotonic clock."""
        return (self._begin_s or 0.0) + position_s

    def behind(self, position_s: float) -> int:
        """Return how many pictures have passed since the decoded one at a position."""
        self._has_read = True
        while self._waiting and self._waiting[0] <= position_s + 0.5 / CLOCK_HZ:
            self._waiting.popleft()
        return len(self._waiting)

    def _serve(self, camera: socket.socket) -> None:
        assert self._listener is not None
        with camera:
            try:
                self._listener.settimeout(CONNECT_S)
                with self._listener.accept()[0] as decoder:
                    self._listener.close()
                    self._pass_on(camera, decoder)
            except NoRtsp:
                self._fault = CameraFault(
                    detail=f"what answers at {self._name} does not speak RTSP", advice=ADVICE_ADDRESS
                )
            except OSError as error:
                self._fault = CameraFault(detail=f"the connection to {self._name} broke: {os_reason(error)}")
            except CameraFault as fault:
                self._fault = fault

    def _pass_on(self, camera: socket.socket, decoder: socket.socket) -> None:
        """Pass on what comes, until one side ends.

        Raises
        ------
        CameraFault, NoRtsp, OSError
            The camera is silent, has ended the connection, or sends what does not pass.
        """
        ways = {
            camera: (RtspReader(), decoder, self._from_camera),
            decoder: (RtspReader(), camera, self._from_decoder),
        }
        out = {side: bytearray() for side in ways}
        self._heard_s = time.monotonic()
        with selectors.DefaultSelector() as selector:
            for side in ways:
                side.setblocking(False)
                side.setsockopt(socket.IPPROTO_TCP, socket.TCP_NODELAY, 1)
                selector.register(side, selectors.EVENT_READ, side)
            while not self._ended.is_set():
                for side, waiting in out.items():
                    selector.modify(side, selectors.EVENT_READ | (selectors.EVENT_WRITE if waiting else 0), side)
                for key, events in selector.select(_LOOK_S):
                    side = key.data
                    if events & selectors.EVENT_WRITE:
                        del out[side][: side.send(out[side])]
                    if not events & selectors.EVENT_READ:
                        continue
                    data = side.recv(_CHUNK_BYTES)
                    if not data and side is decoder:
                        return
                    if not data:
                        raise CameraFault(detail=f"the camera at {self._name} has ended the connection")
                    if side is camera:
                        self._heard_s = time.monotonic()
                    reader, other, passed = ways[side]
                    for part in reader.read(data):
                        out[other] += passed(part)
                if time.monotonic() - self._heard_s > SILENCE_S:
                    raise CameraFault(detail=f"the camera at {self._name} sends nothing any more")

    def _from_decoder(self, part: Packet | RtspMessage) -> bytes:
        if isinstance(part, Packet):
            return part.as_bytes()
        self._conversation.asks(part)
        return part.raw

    def _from_camera(self, part: Packet | RtspMessage) -> bytes:
        if isinstance(part, RtspMessage):
            self._conversation.answers(part)
            return part.raw
        if part.channel != self._conversation.channel or self._conversation.codec is None:
            return b""
        if self._assembler is None:
            self._assembler = Assembler(self._conversation.codec)
        return b"".join(
            self._let_through(picture, self._assembler, part.channel) for picture in self._assembler.add(part.payload)
        )

    def _let_through(self, picture: Picture, assembler: Assembler, channel: int) -> bytes:
        """Return a picture as it goes on; nothing where the decoder is too far behind."""
        if picture.form and self._form and picture.form != self._form:
            raise CameraFault(detail="its video has changed its form", advice="The booth connects again by itself.")
        self._form = picture.form or self._form
        taken_s = self._times.taken_s(picture.ticks, self._heard_s)
        if self._has_read and len(self._waiting) >= MOST_WAITING:
            assembler.wait()
            return b""
        if self._begin_s is None:
            self._begin_s = taken_s
        ticks = max(round((taken_s - self._begin_s) * CLOCK_HZ), self._position_ticks + 1)
        self._position_ticks = ticks
        self._waiting.append(ticks / CLOCK_HZ)
        passed = bytearray()
        for packet in picture.packets:
            passed += Packet(channel, rewritten(packet, self._number, ticks)).as_bytes()
            self._number += 1
        return bytes(passed)
