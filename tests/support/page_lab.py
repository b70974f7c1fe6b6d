"""A page that is really served on loopback, with a loop's side that a test plays, and a small browser of cookies."""

from __future__ import annotations

import contextlib
import http.client
import math
import socket
import subprocess
import threading
import time
import urllib.parse
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field, replace
from functools import partial
from pathlib import Path

from kiosk.booth.attendant_desk import AttendantDesk, DeskComponents
from kiosk.core.attendant.state import DeskCommand, DeskConfig
from kiosk.core.attendant.status_lines import BoothStatus
from kiosk.core.session.booth_config import BoothConfig
from kiosk.core.session.state import Session
from kiosk.core.view.metrics import Counts
from kiosk.page.channel import MOST_BYTES, Channel
from kiosk.page.messages import Endpoint, Monitoring, Serve, from_booth
from kiosk.page.server import serve
from kiosk.page.supervisor import Start, SupervisedPage
from kiosk.store.desk_memory import DeskMemory
from kiosk.system.clock import Clock
from tests.support.manual_clock import ManualClock
from tests.support.pin import CHEAP_HASH
from tests.support.played import review

WAITING = replace(review(), state="release", called=True)
"""A session whose sheet waits for its release, and whose sitter has asked for the attendant."""
HOUSE = BoothConfig((WAITING.document,))
PATIENCE_S = 60.0
"""How long a page is waited for, whose process takes what is left of a busy machine; it only ends a failed test."""


@dataclass
class Counter:
    """A desk with its page: a thread polls as the frame loop does, and keeps what the loop would do.

    Attributes
    ----------
    between_turns
        Held in a turn of that thread, and by whoever changes the desk from outside.
    """

    desk: AttendantDesk
    page: SupervisedPage
    clock: ManualClock
    config: BoothConfig
    session: Session = field(default_factory=Session)
    done: list[DeskCommand] = field(default_factory=list)
    counts: Counts = field(default_factory=Counts)
    closing: threading.Event = field(default_factory=threading.Event)
    between_turns: threading.Lock = field(default_factory=threading.Lock)

    @property
    def port(self) -> int:
        """On which the page is served."""
        return self.page.port

    def turn(self) -> None:
        """Do what one tick of the loop does."""
        status = BoothStatus(paper="10x15cm", unsent_count=5)
        with self.between_turns:
            self.done += self.desk.poll(self.session)
            self.desk.publish(self.session, self.config, status, lambda: self.counts)

    def run(self) -> None:
        """Turn until told to end."""
        while not self.closing.wait(0.005):
            self.turn()


class Threaded:
    """What the page's process does, in a thread that lives by the test's clock and can be patched."""

    is_gone = True

    def __init__(self, clock: Clock, channel: socket.socket, listening: socket.socket) -> None:
        ours = channel.dup()
        self._thread = threading.Thread(target=self._serve, args=(ours, listening.dup(), clock))
        self._thread.start()

    def _serve(self, channel: socket.socket, listening: socket.socket, clock: Clock) -> None:
        what = from_booth(channel.recv(MOST_BYTES))
        assert isinstance(what, Serve)
        serve(what, Channel(channel), listening, clock, lambda: None)
        channel.close()

    def kill(self) -> None:
        """Wait for its end, which the end of the channel brings."""
        self._thread.join()

    def wait(self, limit_s: float) -> None:
        """Have ended."""


@contextlib.contextmanager
def counter(
    folder,
    config: BoothConfig = HOUSE,
    port: int = 0,
    address: str = "127.0.0.1",
    start: Start | None = None,
    monitoring: Monitoring | None = None,
    **where: object,
) -> Iterator[Counter]:
    """Serve a page on loopback, behind the PIN of `tests.support.pin`, in a thread or as `start` does."""
    clock = ManualClock(100.0)
    served = Serve(Endpoint(address, port, **where), "Lantern", monitoring)
    page = (
        SupervisedPage(served, clock, partial(Threaded, clock), math.inf)
        if start is None
        else SupervisedPage(served, clock, start)
    )
    memory = DeskMemory(folder / "desk.json")
    parts = DeskComponents(DeskConfig(True), CHEAP_HASH, memory, clock, list, lambda jpeg: None, page)
    of = Counter(AttendantDesk(parts), page, clock, config)
    of.turn()
    thread = threading.Thread(target=of.run)
    thread.start()
    try:
        yield of
    finally:
        of.closing.set()
        thread.join()
        of.desk.close()
        page.close()
        for ended in page._ending:  # which a busy machine may take longer to end than a booth waits
            ended.wait(PATIENCE_S)


def certify(folder: Path) -> None:
    """Make a certificate of its own for 127.0.0.1."""
    files = ["-keyout", folder / "key.pem", "-out", folder / "certificate.pem"]
    name = ["-subj", "/CN=127.0.0.1", "-addext", "subjectAltName=IP:127.0.0.1", "-days", "2"]
    make = ["openssl", "req", "-x509", "-newkey", "ec", "-pkeyopt", "ec_paramgen_curve:P-256", "-nodes"]
    subprocess.run([*make, *files, *name], check=True, capture_output=True)


@dataclass
class Visitor:
    """A client that keeps its cookie and sends what it is told to."""

    port: int
    cookie: str = ""
    source: str = "127.0.0.1"
    headers: dict[str, str] = field(default_factory=dict)

    def ask(self, method: str, path: str, form: dict[str, str] | None = None, **headers: str) -> tuple[int, str]:
        """Return the status and the text of an answer."""
        connection = http.client.HTTPConnection(
            "127.0.0.1", self.port, timeout=PATIENCE_S, source_address=(self.source, 0)
        )
        sent = {"Cookie": self.cookie, "Content-Type": "application/x-www-form-urlencoded", **headers}
        connection.request(method, path, urllib.parse.urlencode(form) if form else None, sent)
        answer = connection.getresponse()
        self.headers = {name.lower(): value for name, value in answer.getheaders()}
        if "set-cookie" in self.headers:
            self.cookie = self.headers["set-cookie"].partition(";")[0]
        text = answer.read().decode()
        connection.close()
        return answer.status, text

    def sign_in(self, pin: str) -> int:
        """Return the status of a sign-in."""
        return self.ask("POST", "/sign-in", {"pin": pin})[0]

    def token(self) -> str:
        """Return the token of the page's own forms."""
        return self.ask("GET", "/")[1].partition('name="token" value="')[2].partition('"')[0]


def eventually(check: Callable[[], object], limit_s: float = PATIENCE_S) -> bool:
    """Return whether something comes to hold, by the work of the thread that plays the loop."""
    end_s = time.monotonic() + limit_s
    while not check():
        if time.monotonic() > end_s:
            return False
        time.sleep(0.01)
    return True
