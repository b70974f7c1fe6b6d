"""A network camera on loopback that sends JPEG over RTSP (RFC 2326, RFC 2435), and lies and fails on request.

Every picture carries its number in its first row of blocks, and the responder knows when it has drawn which.
"""

from __future__ import annotations

import base64
import contextlib
import hashlib
import re
import socket
import struct
import threading
import time
from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
import simplejpeg

BLOCK_PX = 16
BITS = 24
PART_BYTES = 1400
CLOCK_HZ = 90_000
REALM, NONCE = "camera", "5f2c9a"


def picture(number: int, size_px: tuple[int, int]) -> bytes:
    """Return the JPEG of a number."""
    width, height = size_px
    pixels = np.full((height, width, 3), 128, np.uint8)
    pixels[height // 2 :] = np.random.default_rng(number).integers(0, 255, (height - height // 2, width, 1), np.uint8)
    for bit in range(BITS):
        pixels[:BLOCK_PX, bit * BLOCK_PX : (bit + 1) * BLOCK_PX] = 255 * (number >> bit & 1)
    return simplejpeg.encode_jpeg(pixels, quality=80, colorspace="RGB", colorsubsampling="420")


def number_of(jpeg: bytes) -> int:
    """Return the number that a picture carries."""
    row = simplejpeg.decode_jpeg(jpeg, colorspace="GRAY")[BLOCK_PX // 2, :, 0]
    return sum(1 << bit for bit in range(BITS) if row[bit * BLOCK_PX + BLOCK_PX // 2] > 128)


def packets(jpeg: bytes, size_px: tuple[int, int], number: int, ticks: int) -> list[bytes]:
    """Return a JPEG as packets of RTP (RFC 2435, 3.1)."""
    tables = b"".join(
        jpeg[found.end() : found.end() + 64] for found in re.finditer(rb"\xff\xdb\0\x43.", jpeg, re.DOTALL)
    )
    start = jpeg.index(b"\xff\xda")
    scan = jpeg[start + 2 + int.from_bytes(jpeg[start + 2 : start + 4], "big") : jpeg.rindex(b"\xff\xd9")]
    parts = [scan[at : at + PART_BYTES] for at in range(0, len(scan), PART_BYTES)]
    made, offset = [], 0
    for index, part in enumerate(parts):
        is_last = index == len(parts) - 1
        header = struct.pack(">BBHII", 0x80, 26 | 0x80 * is_last, (number + index) % 65536, ticks % 2**32, 7)
        main = offset.to_bytes(4, "big") + bytes((1, 255, size_px[0] // 8, size_px[1] // 8))
        quantisation = struct.pack(">BBH", 0, 0, len(tables)) + tables if offset == 0 else b""
        made.append(header + main + quantisation + part)
        offset += len(part)
    return made


@dataclass
class Habits:
    """What the camera does; changed at any time by a test.

    Attributes
    ----------
    user, password, scheme
        Who may see it; nobody is asked where there is no user. `Basic` or `Digest` (RFC 2617).
    status
        Its answers to some methods instead of 200.
    location
        Where it sends those whom it answers with 3xx.
    greeting
        What it says to everything instead of speaking RTSP.
    sdp
        Its description.
    transport
        How it answers a SETUP.
    silent
        Whether it answers nothing.
    loses
        Every so many packets one is missing.
    cuts
        Whether its pictures lack their end, though all their packets arrive.
    clock_step_s
        By how much its clock is off.
    delay_s
        How long its pictures wait before they are sent, with their right times.
    """

    user: str = ""
    password: str = ""
    scheme: str = "Digest"
    status: dict[str, int] | None = None
    location: str = ""
    greeting: bytes = b""
    sdp: str = "v=0\r\no=- 1 1 IN IP4 127.0.0.1\r\ns=-\r\nt=0 0\r\nm=video 0 RTP/AVP 26\r\na=control:track1\r\n"
    transport: str = "RTP/AVP/TCP;unicast;interleaved=0-1"
    silent: bool = False
    loses: int = 0
    cuts: bool = False
    clock_step_s: float = 0.0
    delay_s: float = 0.0
    size_px: tuple[int, int] = (640, 800)


class Responder:
    """The camera, from its making to `close`.

    Attributes
    ----------
    habits
        What it does.
    requests
        What it was asked.
    drawn_s
        When each picture was drawn, on the monotonic clock.
    """

    def __init__(self, rate_hz: float = 30.0, **habits: object) -> None:
        self.habits = Habits(**habits)
        self.requests: list[str] = []
        self.drawn_s: dict[int, float] = {}
        self._interval_s = 1 / rate_hz
        self._ended = threading.Event()
        self._sides: list[socket.socket] = []
        self._frozen: set[socket.socket] = set()
        self._listener = socket.create_server(("127.0.0.1", 0))
        threading.Thread(target=self._accept, daemon=True).start()

    @property
    def address(self) -> str:
        """Where it is."""
        return f"rtsp://127.0.0.1:{self._listener.getsockname()[1]}/stream"

    @property
    def connections(self) -> int:
        """How many have come so far."""
        return len(self._sides)

    def wait_for_pictures(self, count: int) -> None:
        """Return once so many more were drawn."""
        end = len(self.drawn_s) + count
        while len(self.drawn_s) < end and not self._ended.wait(0.005):
            pass

    def freeze(self) -> None:
        """Say nothing more to those who are connected; new ones are served."""
        self._frozen |= set(self._sides)

    def say(self, message: bytes) -> None:
        """Say something to those who are connected."""
        for side in self._sides:
            side.sendall(message)

    def drop(self) -> None:
        """End all connections; new ones are accepted."""
        for side in self._sides:
            with contextlib.suppress(OSError):
                side.shutdown(socket.SHUT_RDWR)

    def close(self) -> None:
        """End it."""
        self._ended.set()
        with contextlib.suppress(OSError):
            self._listener.shutdown(socket.SHUT_RDWR)  # a close alone lets the accepting thread take one more
        self._listener.close()
        self.drop()

    def _accept(self) -> None:
        with contextlib.suppress(OSError):
            while True:
                side, _ = self._listener.accept()
                self._sides.append(side)
                threading.Thread(target=self._serve, args=(side,), daemon=True).start()

    def _serve(self, side: socket.socket) -> None:
        with side, contextlib.suppress(OSError, ValueError):
            for request in self._requests(side):
                method, uri, _ = request.split("\r\n", 1)[0].split(" ")
                self.requests.append(request)
                if self.habits.silent:
                    continue
                side.sendall(self.habits.greeting or self._reply(method, uri, request))
                if method == "PLAY" and not self.habits.greeting:
                    threading.Thread(target=self._play, args=(side,), daemon=True).start()

    def _requests(self, side: socket.socket) -> Iterator[str]:
        waiting = b""
        while data := side.recv(4096):
            waiting += data
            while waiting:
                if waiting[0] == ord("$"):
                    length = 4 + int.from_bytes(waiting[2:4].ljust(2, b"\xff"), "big")
                    if len(waiting) < length:
                        break
                    waiting = waiting[length:]
                elif b"\r\n\r\n" in waiting:
                    head, waiting = waiting.split(b"\r\n\r\n", 1)
                    yield head.decode()
                else:
                    break

    def _reply(self, method: str, uri: str, request: str) -> bytes:
        fields = {"CSeq": re.search(r"CSeq: (\d+)", request)[1]}
        status, body = (self.habits.status or {}).get(method, 200), ""
        if self.habits.user and method != "OPTIONS" and not self._is_known(method, uri, request):
            status = 401
            fields["WWW-Authenticate"] = f'{self.habits.scheme} realm="{REALM}", nonce="{NONCE}"'
        if 300 <= status < 400:
            fields["Location"] = self.habits.location
        if status == 200:
            match method:
                case "OPTIONS":
                    fields["Public"] = "OPTIONS, DESCRIBE, SETUP, PLAY, TEARDOWN"
                case "DESCRIBE":
                    body = self.habits.sdp
                    fields |= {"Content-Type": "application/sdp", "Content-Length": str(len(body))}
                case "SETUP":
                    fields |= {"Transport": self.habits.transport, "Session": "17"}
                case _:
                    fields["Session"] = "17"
        head = "".join(f"{name}: {value}\r\n" for name, value in fields.items())
        return f"RTSP/1.0 {status} -\r\n{head}\r\n{body}".encode()

    def _is_known(self, method: str, uri: str, request: str) -> bool:
        user, password = self.habits.user, self.habits.password
        if self.habits.scheme == "Basic":
            return base64.b64encode(f"{user}:{password}".encode()).decode() in request
        first = hashlib.md5(f"{user}:{REALM}:{password}".encode()).hexdigest()
        second = hashlib.md5(f"{method}:{uri}".encode()).hexdigest()
        return hashlib.md5(f"{first}:{NONCE}:{second}".encode()).hexdigest() in request

    def _play(self, side: socket.socket) -> None:
        number = count = 0
        begin_s = time.monotonic()
        waiting: list[tuple[float, list[bytes]]] = []
        with contextlib.suppress(OSError):
            while not self._ended.wait(max(0.0, begin_s + count * self._interval_s - time.monotonic())):
                count += 1
                key = len(self.drawn_s)
                self.drawn_s[key] = time.monotonic()
                jpeg = picture(key, self.habits.size_px)
                if self.habits.cuts:
                    jpeg = jpeg[: len(jpeg) * 2 // 3] + jpeg[-2:]
                ticks = round((self.drawn_s[key] + self.habits.clock_step_s) * CLOCK_HZ)
                made = packets(jpeg, self.habits.size_px, number, ticks)
                number += len(made)
                waiting.append((self.drawn_s[key] + self.habits.delay_s, made))
                while waiting and waiting[0][0] <= time.monotonic():
                    for packet in waiting.pop(0)[1]:
                        lost = self.habits.loses and int.from_bytes(packet[2:4], "big") % self.habits.loses == 0
                        if side not in self._frozen and not lost:
                            side.sendall(b"$\0" + len(packet).to_bytes(2, "big") + packet)
