"""The page's server, in the process that has nothing else to do: one socket, with a certificate or on loopback."""

from __future__ import annotations

import ipaddress
import socket
from collections.abc import Callable

import uvicorn

from kiosk.page.application import site
from kiosk.page.bridge import Bridge
from kiosk.page.channel import Channel
from kiosk.page.connections import MOST_CONNECTIONS, Listener, PageServer
from kiosk.page.guard import Guard
from kiosk.page.messages import Serve, host_of
from kiosk.system.clock import Clock


def serve(what: Serve, channel: Channel, opened: socket.socket, clock: Clock, tidy: Callable[[], None]) -> None:
    """Serve the page on a listening socket until the booth closes its end of the channel; `tidy` every second.

    Raises
    ------
    OSError
        The certificate cannot be used.
    """
    endpoint = what.endpoint
    hosts = [host_of(name) for name in (endpoint.address, *endpoint.names)]
    if ipaddress.ip_address(endpoint.address).is_loopback:
        hosts.append("localhost")
    monitoring = what.monitoring
    guard = Guard(clock.now_s, monitoring.token_hash if monitoring is not None else "")
    bridge, installed = Bridge(channel), monitoring.installed if monitoring is not None else None
    config = uvicorn.Config(
        site(bridge, guard, what.booth_name, hosts, installed, is_https=endpoint.certificate is not None),
        ssl_certfile=endpoint.certificate,
        ssl_keyfile=endpoint.key,
        log_config=None,
        log_level="error",
        access_log=False,
        lifespan="off",
        ws="none",
        http="h11",
        loop="asyncio",
        server_header=False,
        proxy_headers=False,
        backlog=MOST_CONNECTIONS,
        timeout_keep_alive=5,
        timeout_graceful_shutdown=2,
    )
    config.load()
    PageServer(config, bridge, tidy).run([Listener(opened, guard.knows)])
