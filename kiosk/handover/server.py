"""The server of one file: what the page's server is for the attendant, for a phone that has the code."""

from __future__ import annotations

import asyncio
import socket
from collections.abc import Callable

from kiosk.handover.held_file import HeldFile
from kiosk.handover.keeper import Keeper
from kiosk.handover.messages import Hold
from kiosk.handover.site import Site
from kiosk.page.channel import Channel
from kiosk.page.connections import Listener, PageServer, TimedProtocol, server_config
from kiosk.system.clock import Clock


def serve(
    hold: Hold, file: HeldFile, channel: Channel, opened: socket.socket | None, clock: Clock, tidy: Callable[[], None]
) -> None:
    """Keep the file until the booth closes its end of the channel, and serve it on a socket where there is one.

    Raises
    ------
    OSError
        The certificate cannot be used.
    """
    keeper = Keeper(hold, file, channel)
    config = server_config(Site(keeper, clock), hold.certificate, hold.key, grace_s=1)
    FileServer(config, keeper, tidy).run([] if opened is None else [Listener(opened, lambda host: False)])


class FileProtocol(TimedProtocol):
    """HTTP on a connection that the application can follow to its end: the transport is in the request's state."""

    def connection_made(self, transport: asyncio.Transport) -> None:  # type: ignore[override]
        """Hand the connection on to the application."""
        self.app_state = {"transport": transport}
        super().connection_made(transport)


class FileServer(PageServer):
    """A server whose application follows its connections."""

    def _protocol(self) -> FileProtocol:
        return FileProtocol(self.config, self.server_state, self.lifespan.state)
