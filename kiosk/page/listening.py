"""The socket on which a page is served, at an address that the machine may not have yet."""

from __future__ import annotations

import socket
import ssl
from ipaddress import ip_address

from kiosk.page.messages import Endpoint

_FREEBIND, _FREEBIND_V6 = (socket.IPPROTO_IP, 15), (socket.IPPROTO_IPV6, 78)
"""IP_FREEBIND (ip(7)) and IPV6_FREEBIND, whose numbers Linux has in `linux/in.h` and `linux/in6.h`."""


def listening_socket(where: Endpoint, *, may_be_absent: bool = False) -> socket.socket:
    """Return a socket that listens at an address whose certificate can be used.

    Parameters
    ----------
    where
        The address and the certificate.
    may_be_absent
        Whether the machine may lack the address for now, as it does without its network.

    Raises
    ------
    OSError
        The address is not available, or the certificate cannot be used.
    """
    is_v6 = ip_address(where.address).version == 6
    if where.certificate is not None:
        ssl.create_default_context(ssl.Purpose.CLIENT_AUTH).load_cert_chain(where.certificate, where.key)
    listening = socket.socket(socket.AF_INET6 if is_v6 else socket.AF_INET)
    try:
        listening.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        if may_be_absent:
            listening.setsockopt(*(_FREEBIND_V6 if is_v6 else _FREEBIND), 1)
        if is_v6:
            listening.setsockopt(socket.IPPROTO_IPV6, socket.IPV6_V6ONLY, 1)
        listening.bind((where.address, where.port))
        listening.listen()
    except OSError:
        listening.close()
        raise
    return listening
