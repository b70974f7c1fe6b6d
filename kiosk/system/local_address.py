"""Addresses of devices on the local network: a web address with the number of a private network, never a name."""

from __future__ import annotations

import ipaddress
import urllib.parse

_SHAPE = "give http:// or https://, an IP address, and perhaps a port and a path"


def fault_of_address(address: str) -> str:
    """Return why a web address cannot be that of a device on the local network, or an empty string.

    RFC 1918 and RFC 4193 set private addresses apart, RFC 3927 and RFC 4291 those of a link and of the machine itself.
    A name is refused, since asking for it would be a request of its own, to somebody else.
    """
    try:
        where = urllib.parse.urlsplit(address)
        host, _ = ipaddress.ip_address(where.hostname or ""), where.port
    except ValueError:
        return _SHAPE
    if where.scheme not in ("http", "https") or where.query or where.fragment or "@" in where.netloc:
        return _SHAPE
    is_local = host.is_loopback or host.is_link_local or any(host in network for network in _PRIVATE[host.version])
    return "" if is_local else f"{host} is no address of a local network"


def is_this_machine(address: str) -> bool:
    """Return whether a valid address is that of this machine."""
    return ipaddress.ip_address(urllib.parse.urlsplit(address).hostname or "").is_loopback


_PRIVATE: dict[int, tuple[ipaddress.IPv4Network | ipaddress.IPv6Network, ...]] = {
    4: tuple(map(ipaddress.IPv4Network, ("10.0.0.0/8", "172.16.0.0/12", "192.168.0.0/16"))),
    6: (ipaddress.IPv6Network("fc00::/7"),),
}
