"""A PostgreSQL server of one's own, on a socket in a temporary folder, without a port."""

from __future__ import annotations

import os
import pwd
import shutil
import socket
import subprocess
import tempfile
import threading
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from pathlib import Path

_USER = "nobody"
"""PostgreSQL refuses to run as root."""
_SECONDS = 120
_SOCKET = ".s.PGSQL.5432"


class Server:
    """The server's process, its folder, and the address of its one database."""

    def __init__(self, folder: Path) -> None:
        self.folder = folder
        self._bin = max(Path("/usr/lib/postgresql").glob("*/bin"))
        self._run("initdb", "-D", self._data, "-A", "trust", "-U", "roster", "-E", "UTF8", "--locale=C.UTF-8", "-N")
        self.start()

    @property
    def url(self) -> str:
        """As SQLAlchemy takes it."""
        return f"postgresql+psycopg://roster@/postgres?host={self.folder}"

    def start(self) -> None:
        """Start, and wait until it answers."""
        options = f"-c fsync=off -c listen_addresses='' -c unix_socket_directories={self.folder}"
        log = str(self.folder / "log")
        self._run("pg_ctl", "-D", self._data, "-w", "-t", str(_SECONDS), "-l", log, "-o", options, "start")

    def stop(self) -> None:
        """Break off every connection."""
        self._run("pg_ctl", "-D", self._data, "-m", "fast", "-w", "stop")

    def database(self, name: str) -> str:
        """Make an empty database and return its address."""
        self._run("psql", "-h", str(self.folder), "-U", "roster", "-d", "postgres", "-c", f"CREATE DATABASE {name}")
        return self.url.replace("/postgres?", f"/{name}?")

    @property
    def _data(self) -> str:
        return str(self.folder / "data")

    def _run(self, program: str, *arguments: str) -> None:
        nobody = pwd.getpwnam(_USER) if os.geteuid() == 0 else None
        identity = {"user": nobody.pw_uid, "group": nobody.pw_gid, "extra_groups": []} if nobody else {}
        command = [str(self._bin / program), *arguments]
        environment = {"PATH": os.environ["PATH"], "LC_ALL": "C.UTF-8", "HOME": str(self.folder)}
        done = subprocess.run(
            command,
            env=environment,
            cwd=self.folder,
            check=False,
            capture_output=True,
            timeout=2 * _SECONDS,
            **identity,
        )
        if done.returncode:
            raise RuntimeError(f"{program}: {done.stderr.decode()}")


class Wire:
    """A way to the server that can be cut, for one station alone."""

    def __init__(self, server: Server) -> None:
        self._server = server
        self.folder = Path(tempfile.mkdtemp(prefix="pg-wire-"))
        self._ends: list[socket.socket] = []
        self._listener: socket.socket | None = None
        self.mend()

    def url(self, of_server: str) -> str:
        """Return an address of the server as it is reached through this wire."""
        return of_server.replace(str(self._server.folder), str(self.folder))

    def mend(self) -> None:
        """Let connections through."""
        listener = socket.socket(socket.AF_UNIX)
        listener.bind(str(self.folder / _SOCKET))
        listener.listen()
        self._listener = listener
        threading.Thread(target=self._accept, args=[listener], daemon=True).start()

    def cut(self) -> None:
        """Break every connection, and refuse new ones."""
        if self._listener is None:
            return
        self._listener.shutdown(socket.SHUT_RDWR)
        self._listener.close()
        self._listener = None
        (self.folder / _SOCKET).unlink()
        for end in self._ends:
            with suppress(OSError):
                end.shutdown(socket.SHUT_RDWR)
        self._ends.clear()

    def _accept(self, listener: socket.socket) -> None:
        with suppress(OSError):
            while True:
                near, _ = listener.accept()
                far = socket.socket(socket.AF_UNIX)
                far.connect(str(self._server.folder / _SOCKET))
                self._ends += [near, far]
                for one, other in ((near, far), (far, near)):
                    threading.Thread(target=_carry, args=[one, other], daemon=True).start()


def _carry(one: socket.socket, other: socket.socket) -> None:
    with suppress(OSError):
        while data := one.recv(65536):
            other.sendall(data)
    for end in (one, other):
        with suppress(OSError):
            end.shutdown(socket.SHUT_RDWR)
        end.close()


@contextmanager
def wire(server: Server) -> Iterator[Wire]:
    """Lay a wire to the server, and take it away."""
    laid = Wire(server)
    try:
        yield laid
    finally:
        laid.cut()
        shutil.rmtree(laid.folder)


@contextmanager
def postgres() -> Iterator[Server]:
    """Run a server, and leave nothing of it."""
    folder = Path(tempfile.mkdtemp(prefix="pg-"))
    folder.chmod(0o777)
    server = None
    try:
        server = Server(folder)
        yield server
    finally:
        if server is not None:
            server.stop()
        shutil.rmtree(folder, ignore_errors=True)
