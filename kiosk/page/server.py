"""The page's thread: one small server on one socket, with a certificate or on this machine alone."""

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
from kiosk.page.bridge import Bridge
from kiosk.page.connections import MOST_CONNECTIONS, Listener, PageServer
from kiosk.page.guard import Guard
from kiosk.page.site import site
from kiosk.system.clock import Clock


@dataclass(frozen=True, slots=True)
class Where:
    """Where the page is served.

    Attributes
    ----------
    address
        Of an interface of this machine; `port` 0 takes any that is free.
    names
        Under which names it is asked for, beside its address.
    certificate, key
        PEM files; None serves plain HTTP, which the settings allow on a loopback address only.
    """

    address: str
    port: int
    names: tuple[str, ...] = ()
    certificate: Path | None = None
    key: Path | None = None


@contextlib.contextmanager
def serve(bridge: Bridge, clock: Clock, where: Where, booth_name: str) -> Iterator[int]:
    """Serve the page in a thread of its own, and yield the port.

    Raises
    ------
    PageRefused
        The address cannot be listened on, or the certificate cannot be used.
    """
    hosts = [_host(name) for name in (where.address, *where.names)]
    if ipaddress.ip_address(where.address).is_loopback:
        hosts.append("localhost")
    config = uvicorn.Config(
        site(bridge, Guard(clock.now_s), booth_name, hosts, is_https=where.certificate is not None),
        ssl_certfile=where.certificate,
        ssl_keyfile=where.key,
        log_config=None,
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
        listening = Listener(socket.create_server((where.address, where.port), family=_family(where.address)))
    except OSError as error:
        detail = os_reason(error)
        raise PageRefused(address=where.address, port=where.port, detail=detail) from error
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
