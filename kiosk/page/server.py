"""The page's thread: a small server on one socket, with a certificate or on a loopback address."""

from __future__ import annotations

import contextlib
import ipaddress
import socket
import threading
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

import uvicorn

from kiosk.errors import PageRefused, os_reason
from kiosk.page.application import site
from kiosk.page.bridge import Bridge
from kiosk.page.connections import MOST_CONNECTIONS, Listener, PageServer
from kiosk.page.guard import Guard
from kiosk.system.clock import Clock


@dataclass(frozen=True, slots=True)
class Endpoint:
    """The address and certificate of the page.

    Attributes
    ----------
    address, port
        The address of an interface of this machine, and the port; 0 takes any free one.
    names
        Host names under which browsers may request the page, besides its address.
    certificate, key
        PEM files; None serves plain HTTP, which the settings allow on a loopback address only.
    """

    address: str
    port: int
    names: tuple[str, ...] = ()
    certificate: Path | None = None
    key: Path | None = None


@contextlib.contextmanager
def serve(bridge: Bridge, clock: Clock, endpoint: Endpoint, booth_name: str) -> Iterator[int]:
    """Serve the page in a thread of its own, and yield the port.

    Raises
    ------
    PageRefused
        The address is not available, or the certificate cannot be used.
    """
    hosts = [_host(name) for name in (endpoint.address, *endpoint.names)]
    if ipaddress.ip_address(endpoint.address).is_loopback:
        hosts.append("localhost")
    guard = Guard(clock.now_s)
    config = uvicorn.Config(
        site(bridge, guard, booth_name, hosts, is_https=endpoint.certificate is not None),
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
    try:
        config.load()
        opened = socket.create_server((endpoint.address, endpoint.port), family=_family(endpoint.address))
        listening = Listener(opened, guard.knows)
    except OSError as error:
        detail = os_reason(error)
        raise PageRefused(address=endpoint.address, port=endpoint.port, detail=detail) from error
    server = PageServer(config)
    thread = threading.Thread(target=server.run, args=([listening],), name="attendant's page", daemon=True)
    thread.start()
    try:
        yield listening.getsockname()[1]
    finally:
        server.should_exit = True
        thread.join(10.0)
        listening.close()


def _host(name: str) -> str:
    """Return a name or address as a browser puts it into the header `Host` (RFC 3986, 3.2.2; RFC 5952)."""
    try:
        address = ipaddress.ip_address(name)
    except ValueError:
        return name
    return f"[{address.compressed}]" if address.version == 6 else name


def _family(address: str) -> socket.AddressFamily:
    return socket.AF_INET6 if ipaddress.ip_address(address).version == 6 else socket.AF_INET
