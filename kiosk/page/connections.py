"""Who may hold a connection to the page, and for how long: bounds that hold before anything is read or encrypted.

A device that opens connections and says nothing can take neither the program's descriptors nor the attendant's place:
the oldest connection makes room for the newest, first among those of its own address, and last among those of an
address that has given the PIN, or the token of a monitoring server.
"""

from __future__ import annotations

import asyncio
import contextlib
import socket
import time
from collections.abc import Callable
from pathlib import Path
from typing import Any, Protocol

import uvicorn
from uvicorn.protocols.http.h11_impl import H11Protocol

from kiosk.page.guard import Allowance, counted

MOST_CONNECTIONS, MOST_OF_AN_ADDRESS = 32, 4
"""A booth has one or two attendants; a browser opens up to six connections to a host, and manages with four."""
HANDSHAKE_S, REQUEST_S = 5.0, 5.0
"""Within which the TLS handshake, and after it each whole request, must have come: a phone on a poor radio link takes
below 2 s for either (practice)."""
BURST, PER_S = 60, 1.0
"""Connections an address may open at once, and a second in the long run. Each costs a handshake of some milliseconds; a
browser keeps its connection, because the page asks for the state more often than an idle one is closed."""


class Listener(socket.socket):
    """A listening socket that keeps what it has accepted within the bounds; for one thread.

    Parameters
    ----------
    listening
        The socket, which this one takes over.
    is_attendants
        Returns whether an attendant is signed in from an address.
    now_s
        Monotonic seconds.
    """

    def __init__(
        self,
        listening: socket.socket,
        is_attendants: Callable[[str], bool],
        now_s: Callable[[], float] = time.monotonic,
    ) -> None:
        super().__init__(listening.family, listening.type, listening.proto, listening.detach())
        self._is_attendants = is_attendants
        self._open: dict[socket.socket, tuple[str, str]] = {}
        self._allowance = Allowance(now_s, BURST, PER_S)

    def accept(self) -> tuple[socket.socket, Any]:
        """Accept a connection, and end an older one where there is no room.

        Raises
        ------
        ConnectionAbortedError
            The address opens too many; the connection is closed.
        """
        accepted, peer = super().accept()
        address = counted(peer[0])
        if not self._allowance.takes(address):
            accepted.close()
            raise ConnectionAbortedError
        self._open = {kept: of for kept, of in self._open.items() if kept.fileno() >= 0}
        alike = [kept for kept, (of, _) in self._open.items() if of == address]
        if len(alike) >= MOST_OF_AN_ADDRESS:
            self._end(alike[0])
        elif len(self._open) >= MOST_CONNECTIONS:
            others = (kept for kept, (_, host) in self._open.items() if not self._is_attendants(host))
            self._end(next(others, next(iter(self._open))))
        self._open[accepted] = address, peer[0]
        return accepted, peer

    def _end(self, ended: socket.socket) -> None:
        """Break a connection off; the loop that owns it sees its end and closes it."""
        del self._open[ended]
        with contextlib.suppress(OSError):
            ended.shutdown(socket.SHUT_RDWR)


class TimedProtocol(H11Protocol):
    """HTTP on a connection that is ended when a whole request has not come in time, the first one or a later one."""

    _deadline: asyncio.TimerHandle | None = None

    def connection_made(self, transport: asyncio.Transport) -> None:  # type: ignore[override]
        """Wait for the first request."""
        super().connection_made(transport)
        self._wait_for_request()

    def connection_lost(self, exc: Exception | None) -> None:
        """Wait for nothing any more."""
        self._wait_no_more()
        super().connection_lost(exc)

    def handle_events(self) -> None:
        """Take what has come; a whole request ends the wait."""
        super().handle_events()
        if self.cycle is not None and not self.cycle.more_body and not self.cycle.response_complete:
            self._wait_no_more()

    def on_response_complete(self) -> None:
        """Wait for the next request."""
        self._wait_for_request()
        super().on_response_complete()

    def _wait_for_request(self) -> None:
        self._wait_no_more()
        self._deadline = self.loop.call_later(REQUEST_S, self.transport.abort)

    def _wait_no_more(self) -> None:
        if self._deadline is not None:
            self._deadline.cancel()


class Attending(Protocol):
    """What listens to the booth."""

    def attend(self, at_end: Callable[[], None]) -> None:
        """Take what the booth says from now on; `at_end` is called when it is gone."""
        ...


def server_config(
    application: Callable[..., Any], certificate: Path | None, key: Path | None, grace_s: int
) -> uvicorn.Config:
    """Return uvicorn's configuration for the pages of a booth: HTTP/1.1 alone, and nothing said of itself.

    Parameters
    ----------
    application
        What answers, by ASGI 3.
    certificate, key
        Files in PEM; None for plain HTTP.
    grace_s
        How long a connection may take to end once the booth is gone, in seconds.

    Raises
    ------
    OSError
        The certificate cannot be used.
    """
    config = uvicorn.Config(
        application,
        ssl_certfile=certificate,
        ssl_keyfile=key,
        log_config=None,
        log_level="error",
        access_log=False,
        lifespan="off",
        interface="asgi3",
        ws="none",
        http="h11",
        loop="asyncio",
        server_header=False,
        proxy_headers=False,
        backlog=MOST_CONNECTIONS,
        timeout_keep_alive=5,
        timeout_graceful_shutdown=grace_s,
    )
    config.load()
    return config


class PageServer(uvicorn.Server):
    """A server on sockets that are listening, until the booth is gone; it grants a handshake `HANDSHAKE_S`.

    Parameters
    ----------
    config
        Of uvicorn.
    booth
        The connection to the booth.
    tidy
        Called every second.
    """

    def __init__(self, config: uvicorn.Config, booth: Attending, tidy: Callable[[], None]) -> None:
        super().__init__(config)
        self._booth = booth
        self._tidy = tidy

    def capture_signals(self) -> contextlib.AbstractContextManager[None]:  # type: ignore[override]
        """Leave the signals alone: the booth alone ends the page."""
        return contextlib.nullcontext()

    async def startup(self, sockets: list[socket.socket] | None = None) -> None:
        """Serve the sockets; uvicorn's own way would leave asyncio's minute for a handshake."""
        loop, ssl = asyncio.get_running_loop(), self.config.ssl
        self.servers = [
            await loop.create_server(
                self._protocol,
                sock=listening,
                ssl=ssl,
                backlog=self.config.backlog,
                ssl_handshake_timeout=HANDSHAKE_S if ssl else None,
            )
            for listening in sockets or ()
        ]
        self._booth.attend(self._end)
        self.started = True

    async def on_tick(self, counter: int) -> bool:
        """Return whether the server is to end; called ten times a second."""
        if counter % 10 == 0:
            self._tidy()
        return await super().on_tick(counter)

    def _end(self) -> None:
        self.should_exit = True

    def _protocol(self) -> TimedProtocol:
        return TimedProtocol(self.config, self.server_state, self.lifespan.state)
