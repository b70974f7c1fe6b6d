"""The page as the booth has it: what it is to show and what it asks, whatever becomes of the process that serves it.

Handshakes and requests of strangers take neither the frame loop's processor nor Python's lock from it, because they are
dealt with in a process of the lowest priority. That process is started anew when it has ended, is silent, speaks
nonsense or takes much memory, ever later if that goes on; the socket on which the page is served stays the booth's.
Nothing but `close` waits.
"""

from __future__ import annotations

import logging
import math
import socket
from collections.abc import Callable

from pydantic import TypeAdapter, ValidationError

from kiosk.core.view.attendant import DeskIntent, DeskView
from kiosk.core.view.metrics import Metrics
from kiosk.errors import PageRefused, os_reason
from kiosk.page.channel import Channel, socket_pair
from kiosk.page.child_process import Interpreter, Running
from kiosk.page.listening import listening_socket
from kiosk.page.messages import (
    Alive,
    FromBooth,
    FromPage,
    MetricsAnswered,
    MetricsAsked,
    PinAnswer,
    PinAnswered,
    PinAsked,
    Serve,
    Shown,
    to_page,
)
from kiosk.system.clock import Clock

DELAYS_S = (0.5, 1.0, 2.0, 4.0, 8.0, 15.0, 30.0)
"""The delays before the first, second, ... restart in a row; the last one is for all further ones. A start takes a
second of a processor."""
HEALTHY_S = 60.0
"""After so many seconds in service an end counts as the first one again."""
SILENT_S = 120.0
"""After so many seconds without a word the process is taken for hung. It says something every five, and a start takes
about a second; on a machine that is busy with other things, it gets a hundredth of the processor at times."""
MOST_MB = 256.0
"""The memory of a process that is replaced before the machine misses it; one that is attacked takes 90 (measured)."""
END_S = 2.0
"""How long `close` waits for its end."""
MOST_AT_ONCE = 16
"""How many messages are taken in at a time, so that a process gone mad costs the frame loop little."""

Start = Callable[[socket.socket, socket.socket], Running]
"""Starts what serves the page, from its end of the channel and the listening socket."""

_FROM_PAGE: TypeAdapter[FromPage] = TypeAdapter(FromPage)
_log = logging.getLogger(__name__)


class SupervisedPage:
    """The attendant's page; for the frame loop's thread alone.

    Parameters
    ----------
    what
        What to serve.
    clock
        Of the restarts.
    start
        Starts what serves it.
    most_mb
        The memory with which that is replaced.

    Attributes
    ----------
    port
        On which it is served.
    running
        What serves it now; None where nothing does.

    Raises
    ------
    PageRefused
        The port is in use, or the certificate cannot be used.
    """

    def __init__(self, what: Serve, clock: Clock, start: Start = Interpreter, most_mb: float = MOST_MB) -> None:
        self._what = what
        self._clock = clock
        self._start = start
        self._most_mb = most_mb
        self._listening = _listening(what)
        self.port: int = self._listening.getsockname()[1]
        self.running: Running | None = None
        self._channel: Channel | None = None
        self._ending: list[Running] = []
        self._shown: Shown | None = None
        self._sent: Shown | None = None
        self._readers: list[str] = []
        self._failures = 0
        self._due_s = -math.inf
        self._began_s = self._heard_s = 0.0
        self._is_served = False
        self._begin(clock.now_s())

    @property
    def trouble(self) -> str:
        """Why the page does not answer, as a sentence; empty where it does, or is being started for the first time."""
        if self._is_served or not self._failures:
            return ""
        return "It has ended and is being started again; phones have to sign in again."

    def publish(self, view: DeskView, metrics: Callable[[], Metrics]) -> None:
        """Show how things stand; what finds no room now is sent with the next call.

        `metrics` is called once if monitoring servers wait; an answer that finds no room is lost.
        """
        self._shown = Shown.of(view)
        if self._shown != self._sent and self._send(self._shown):
            self._sent = self._shown
        readers, self._readers = self._readers, []
        if readers:
            now = metrics()
            for reader in readers:
                self._send(MetricsAnswered(reader, now))

    def answer(self, asker: str, answer: PinAnswer) -> None:
        """Answer a PIN; the answer is lost where the one who asked is gone."""
        self._send(PinAnswered(asker, answer))

    def poll(self) -> list[PinAsked | DeskIntent]:
        """Return the PINs and orders since the last call, and see to it that the page is served."""
        now_s = self._clock.now_s()
        self._ending = [ended for ended in self._ending if not ended.is_gone]
        asked: list[PinAsked | DeskIntent] = []
        if self._channel is None:
            if now_s >= self._due_s:
                self._begin(now_s)
            return asked
        try:
            for _ in range(MOST_AT_ONCE):
                received = self._channel.receive()
                if received is None:
                    break
                message = _FROM_PAGE.validate_json(received)
                self._heard_s = now_s
                if isinstance(message, MetricsAsked):
                    self._readers.append(message.reader)
                elif not isinstance(message, Alive):
                    asked.append(message)
                elif message.resident_mb > self._most_mb:
                    self._fail(f"it takes {message.resident_mb:.0f} MB", now_s)
                    break
                else:
                    self._is_served = True
        except EOFError:
            self._fail("it has ended", now_s)
        except ValidationError:
            self._fail("it says what no page says", now_s)
        else:
            if now_s - self._heard_s > SILENT_S:
                self._fail(f"it has said nothing for {SILENT_S:g} s", now_s)
        return asked

    def close(self) -> None:
        """End the page."""
        if self.running is not None:
            self._end(self.running)
        for ended in self._ending:
            ended.wait(END_S)
        self._listening.close()

    def _send(self, message: FromBooth) -> bool:
        return self._channel is not None and self._channel.send(to_page(message))

    def _begin(self, now_s: float) -> None:
        ours, theirs = socket_pair()
        try:
            with theirs:
                self.running = self._start(theirs, self._listening)
        except OSError as error:
            ours.close()
            self._fail(os_reason(error), now_s)
            return
        self._channel, self._sent, self._is_served = Channel(ours), None, False
        self._readers.clear()
        self._began_s = self._heard_s = now_s
        self._send(self._what)

    def _fail(self, reason: str, now_s: float) -> None:
        """End what serves the page, and have it started again after a while."""
        if self._is_served and now_s - self._began_s >= HEALTHY_S:
            self._failures = 0
        delay_s = DELAYS_S[min(self._failures, len(DELAYS_S) - 1)]
        self._due_s = now_s + delay_s
        self._failures += 1
        self._is_served = False
        _log.warning("the attendant's page: %s; it is started again in %g s", reason, delay_s)
        if self.running is not None:
            self._end(self.running)

    def _end(self, running: Running) -> None:
        if self._channel is not None:
            self._channel.close()
        running.kill()
        self._ending.append(running)
        self.running = self._channel = None


def _listening(what: Serve) -> socket.socket:
    """Return the socket of a page whose certificate can be used; it is reached as soon as the machine has its address.

    Raises
    ------
    PageRefused
        The port is in use, or the certificate cannot be used.
    """
    where = what.endpoint
    try:
        return listening_socket(where, may_be_absent=True)
    except OSError as error:
        raise PageRefused(address=where.address, port=where.port, detail=os_reason(error)) from error
