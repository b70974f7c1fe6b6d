"""The page's server, in the process that has nothing else to do: one socket, with a certificate or on loopback."""

from __future__ import annotations

import ipaddress
import socket
from collections.abc import Callable

from kiosk.page.application import site
from kiosk.page.bridge import Bridge
from kiosk.page.channel import Channel
from kiosk.page.connections import Listener, PageServer, server_config
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
    application = site(bridge, guard, what.booth_name, hosts, installed, is_https=endpoint.certificate is not None)
    config = server_config(application, endpoint.certificate, endpoint.key, grace_s=2)
    PageServer(config, bridge, tidy).run([Listener(opened, guard.knows)])
