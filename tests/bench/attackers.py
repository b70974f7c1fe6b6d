"""Devices on the network of the attendant's page that wish it ill, each kind in a thread of its own, for `attack`.

    python tests/bench/attackers.py PORT SECONDS SEED

They speak TLS to 127.0.0.1 from addresses of their own. Their machines would be others: here they get what the booth
leaves of the processor (sched(7), SCHED_IDLE). What they did is printed as one JSON object at the end.
"""

from __future__ import annotations

import contextlib
import json
import os
import random
import socket
import ssl
import sys
import threading
import time
from collections import Counter
from collections.abc import Callable

PATIENCE_S = 5.0
SEED_REQUESTS = (
    b"GET / HTTP/1.1\r\nHost: 127.0.0.1\r\n\r\n",
    b"GET /state HTTP/1.1\r\nHost: 127.0.0.1\r\nCookie: __Host-booth=a\r\n\r\n",
    b"POST /order HTTP/1.1\r\nHost: 127.0.0.1\r\nContent-Length: 12\r\n\r\norder=close&a",
    b"POST /sign-in HTTP/1.1\r\nHost: 127.0.0.1\r\nTransfer-Encoding: chunked\r\n\r\n4\r\npin=\r\n0\r\n\r\n",
)
HEADERS = (
    b"Host: booth.example\r\n",
    b"Host: 127.0.0.1\r\nHost: 127.0.0.1\r\n",
    b"Host: 127.0.0.1\r\nX: " + b"a" * 70_000 + b"\r\n",
    b"Host: 127.0.0.1\r\n" + b"A: b\r\n" * 5_000,
    b"Host: 127.0.0.1\r\nContent-Length: 5\r\nTransfer-Encoding: chunked\r\n",
    b"Host: 127.0.0.1\r\nContent-Length: -1\r\n",
    b"Host: 127.0.0.1\r\nOrigin: https://booth.example\r\nX-Forwarded-For: 10.0.0.1\r\n",
    b"Host: 127.0.0.1\r\nCookie: " + b"a=b; " * 2_000 + b"\r\n",
)


class Attackers:
    """What all kinds share: the page's port, the end of the attack, and what was counted."""

    def __init__(self, port: int, end_s: float, seed: int) -> None:
        self.port = port
        self.end_s = end_s
        self.chance = random.Random(seed)
        self.counts: Counter[str] = Counter()
        self._anyone = ssl.SSLContext(ssl.PROTOCOL_TLS_CLIENT)
        self._anyone.check_hostname = False
        self._anyone.verify_mode = ssl.CERT_NONE

    def goes_on(self) -> bool:
        """Return whether the attack lasts."""
        return time.monotonic() < self.end_s

    def connected(self, source: str) -> socket.socket:
        """Open a connection from an address of this machine."""
        return socket.create_connection(("127.0.0.1", self.port), PATIENCE_S, (source, 0))

    def encrypted(self, source: str) -> ssl.SSLSocket:
        """Open a connection and do the handshake."""
        return self._anyone.wrap_socket(self.connected(source))

    def say(self, kind: str, source: str, request: bytes) -> None:
        """Send a request and count the status of the answer."""
        try:
            with self.encrypted(source) as spoken:
                spoken.sendall(request)
                line = spoken.recv(4096).partition(b"\r\n")[0].split(b" ")
        except OSError:
            self.counts[f"{kind}: cut off"] += 1
            time.sleep(0.01)
            return
        self.counts[f"{kind}: {line[1].decode() if len(line) > 1 and line[1].isdigit() else 'no answer'}"] += 1

    def sockets(self) -> None:
        """Open silent connections from forty devices, as fast as they are taken, and keep them."""
        kept: list[socket.socket] = []
        while self.goes_on():
            try:
                kept.append(self.connected(f"127.0.2.{self.chance.randint(1, 40)}"))
                self.counts["sockets: opened"] += 1
            except OSError:
                self.counts["sockets: refused"] += 1
                time.sleep(0.01)
            if len(kept) > 500:
                kept.pop(0).close()

    def idle(self) -> None:
        """Hold encrypted connections that ask for nothing, and open another for each that ends."""
        kept: dict[str, ssl.SSLSocket] = {}
        while self.goes_on():
            for device in (f"127.0.3.{number}" for number in range(1, 33)):
                if device in kept and still_open(kept[device]):
                    continue
                with contextlib.suppress(OSError):
                    kept[device] = self.encrypted(device)
                    self.counts["idle: opened"] += 1
            time.sleep(0.1)

    def fuzz(self) -> None:
        """Send requests with bytes changed, taken out and put in."""
        while self.goes_on():
            request = bytearray(self.chance.choice(SEED_REQUESTS))
            for _ in range(self.chance.randint(1, 12)):
                at = self.chance.randrange(len(request))
                request[at : at + self.chance.randint(0, 3)] = self.chance.randbytes(self.chance.randint(0, 3)) or b"\n"
            self.say("fuzz", f"127.0.4.{self.chance.randint(1, 20)}", bytes(request))

    def pins(self) -> None:
        """Try PINs."""
        while self.goes_on():
            form = b"pin=%06d" % self.chance.randrange(10**6)
            head = b"POST /sign-in HTTP/1.1\r\nHost: 127.0.0.1\r\nContent-Type: application/x-www-form-urlencoded\r\n"
            self.say(
                "pins",
                f"127.0.5.{self.chance.randint(1, 20)}",
                head + b"Content-Length: %d\r\n\r\n" % len(form) + form,
            )

    def headers(self) -> None:
        """Send heads that are too long, contradictory or another's."""
        while self.goes_on():
            request = b"GET / HTTP/1.1\r\n" + self.chance.choice(HEADERS) + b"\r\n"
            self.say("headers", f"127.0.6.{self.chance.randint(1, 20)}", request)


def still_open(connection: ssl.SSLSocket) -> bool:
    """Return whether the other side has left a silent connection open."""
    connection.settimeout(0.0)
    try:
        return connection.recv(1) != b""
    except ssl.SSLWantReadError:
        return True
    except OSError:
        return False


def main() -> None:
    """Attack and print the counts."""
    port, seconds, seed = int(sys.argv[1]), float(sys.argv[2]), int(sys.argv[3])
    os.sched_setscheduler(0, os.SCHED_IDLE, os.sched_param(0))
    of = Attackers(port, time.monotonic() + seconds, seed)
    kinds: list[Callable[[], None]] = [of.sockets, of.idle, of.fuzz, of.pins, of.headers]
    threads = [threading.Thread(target=kind) for kind in kinds]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    print(json.dumps(dict(sorted(of.counts.items()))))


if __name__ == "__main__":
    main()
