"""A network of one link: a namespace with a relay to a PostgreSQL server, whose link is taken down like a cable."""

from __future__ import annotations

import itertools
import os
import subprocess
import sys
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from dataclasses import dataclass

_RELAY = """
import socket, sys, threading
def carry(one, other):
    try:
        while data := one.recv(65536):
            other.sendall(data)
    except OSError:
        pass
    for end in (one, other):
        try:
            end.shutdown(socket.SHUT_RDWR)
        except OSError:
            pass
listener = socket.create_server((sys.argv[1], 5432))
print("ready", flush=True)
while True:
    near, _ = listener.accept()
    far = socket.socket(socket.AF_UNIX)
    far.connect(sys.argv[2])
    for ends in ((near, far), (far, near)):
        threading.Thread(target=carry, args=ends, daemon=True).start()
"""
_numbers = itertools.count()


@dataclass(frozen=True)
class Link:
    """A link to a server; `address` is the server's at its other end."""

    address: str
    device: str
    namespace: str

    def url(self, of_server: str) -> str:
        """Return a server's address as it is reached through this link."""
        return f"{of_server.partition('?')[0].replace('@/', f'@{self.address}/')}"

    def down(self) -> None:
        """Pull the cable behind the switch: this end stays up, and nothing comes back."""
        _ip("-n", self.namespace, "link", "set", self.device, "down")


def permitted() -> bool:
    """Return whether namespaces can be made here."""
    return os.geteuid() == 0 and not subprocess.run(["unshare", "-n", "true"], check=False).returncode


@contextmanager
def link(socket_path: str) -> Iterator[Link]:
    """Lay a link to a server that listens on a Unix socket, and take it away."""
    number = next(_numbers)
    name = f"ph{os.getpid() % 100000}x{number}"
    net = f"198.18.{os.getpid() % 250}.{4 * number % 250}"  # RFC 2544, for benches of networks
    here, there = (f"{net.rpartition('.')[0]}.{int(net.rpartition('.')[2]) + end}" for end in (1, 2))
    _ip("netns", "add", name)
    relay = None
    try:
        _ip("link", "add", f"{name}a", "type", "veth", "peer", "name", f"{name}b", "netns", name)
        _ip("addr", "add", f"{here}/30", "dev", f"{name}a")
        _ip("link", "set", f"{name}a", "up")
        for setting in (["addr", "add", f"{there}/30", "dev", f"{name}b"], ["link", "set", f"{name}b", "up"]):
            _ip("-n", name, *setting)
        command = ["ip", "netns", "exec", name, sys.executable, "-c", _RELAY, there, socket_path]
        relay = subprocess.Popen(command, stdout=subprocess.PIPE, text=True)
        assert relay.stdout is not None
        assert relay.stdout.readline() == "ready\n"
        yield Link(there, f"{name}b", name)
    finally:
        if relay is not None:
            relay.kill()
            relay.communicate()
        with suppress(subprocess.CalledProcessError):
            _ip("link", "del", f"{name}a")
        _ip("netns", "del", name)


def _ip(*arguments: str) -> None:
    subprocess.run(["ip", *arguments], check=True, capture_output=True)
