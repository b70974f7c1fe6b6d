"""A PostgreSQL server of one's own, on a socket in a temporary folder, without a port."""

from __future__ import annotations

import os
import pwd
import shutil
import signal
import socket
import subprocess
import tempfile
import threading
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager, suppress
from datetime import timedelta
from pathlib import Path
from typing import Literal

import sqlalchemy as sa

_USER = "nobody"
"""PostgreSQL refuses to run as root."""
_SECONDS = 120
_SOCKET = ".s.PGSQL.5432"
_CLOCK = """
CREATE SCHEMA lab;
CREATE TABLE lab.clock (ahead interval NOT NULL);
INSERT INTO lab.clock VALUES ('0 s');
CREATE FUNCTION lab.now() RETURNS timestamptz LANGUAGE sql STABLE
    AS 'SELECT pg_catalog.now() + ahead FROM lab.clock';
"""
"""A `now()` that is found before the server's own, and runs ahead of it by what a test says."""


class Server:
    """The server's process, its folder, and the address of its one database."""

    def __init__(self, folder: Path) -> None:
        self.folder = folder
        self._bin = max(Path("/usr/lib/postgresql").glob("*/bin"))
        self._run("initdb", "-D", self._data, "-A", "trust", "-U", "roster", "-E", "UTF8", "--locale=C.UTF-8", "-N")
        self.start()
        self.run_sql("template1", _CLOCK)

    @property
    def url(self) -> str:
        """As SQLAlchemy takes it."""
        return f"postgresql+psycopg://roster@/postgres?host={self.folder}"

    def start(self, *settings: str) -> None:
        """Start, with more settings of the server's own, and wait until it answers."""
        options = f"-c fsync=off -c listen_addresses='' -c unix_socket_directories={self.folder}"
        options += "".join(f" -c {setting}" for setting in settings)
        log = str(self.folder / "log")
        self._run("pg_ctl", "-D", self._data, "-w", "-t", str(_SECONDS), "-l", log, "-o", options, "start")

    def stop(self, how: Literal["fast", "immediate"] = "fast") -> None:
        """Break off every connection; at once where nobody starts it again."""
        self._run("pg_ctl", "-D", self._data, "-m", how, "-w", "-t", str(_SECONDS), "stop")

    @contextmanager
    def stuck(self) -> Iterator[None]:
        """Let every process of the server stand still, while its machine still answers for the connections."""
        main = int((self.folder / "data" / "postmaster.pid").read_text().split()[0])
        processes = [main]
        try:
            os.kill(main, signal.SIGSTOP)  # first, so that it neither starts a process nor lets one go meanwhile
            while Path(f"/proc/{main}/stat").read_text().rpartition(")")[2].split()[0] != "T":
                time.sleep(0.001)
            processes += map(int, Path(f"/proc/{main}/task/{main}/children").read_text().split())
            for process in processes[1:]:
                os.kill(process, signal.SIGSTOP)
            yield
        finally:
            for process in reversed(processes):
                os.kill(process, signal.SIGCONT)

    def database(self, name: str) -> str:
        """Make an empty database with a clock that can be moved, and return its address."""
        self.run_sql("postgres", f"CREATE DATABASE {name}", f"ALTER DATABASE {name} SET search_path = lab, pg_catalog")
        return self.url.replace("/postgres?", f"/{name}?")

    def run_sql(self, database: str, *commands: str) -> None:
        """Have commands of SQL done."""
        wanted = [part for command in commands for part in ("-c", command)]
        self._run("psql", "-q", "-h", str(self.folder), "-U", "roster", "-d", database, *wanted)

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


def pass_time(url: str, seconds: float) -> None:
    """Move the clock of a database on."""
    engine = sa.create_engine(url)
    with engine.begin() as connection:
        connection.execute(sa.text("UPDATE lab.clock SET ahead = ahead + :more"), {"more": timedelta(seconds=seconds)})
    engine.dispose()


class Wire:
    """A way to the server that can be cut, for one station alone."""

    def __init__(self, server: Server) -> None:
        self._server = server
        self.folder = Path(tempfile.mkdtemp(prefix="pg-wire-"))
        self._ends: list[socket.socket] = []
        self._listener: socket.socket | None = None
        self._change = threading.RLock()
        self._replies_left: int | None = None
        self.bytes_a_second: float | None = None
        """How slow the wire is on the way to the server; None for as fast as it can."""
        self.delay_s = 0.0
        """How long everything is on its way, in either direction."""
        self.mend()

    def url(self, of_server: str) -> str:
        """Return an address of the server as it is reached through this wire."""
        return of_server.replace(str(self._server.folder), str(self.folder))

    def mend(self) -> None:
        """Let connections through."""
        with self._change:
            self._replies_left = None
            if self._listener is not None:
                return
            listener = socket.socket(socket.AF_UNIX)
            listener.bind(str(self.folder / _SOCKET))
            listener.listen()
            self._listener = listener
        threading.Thread(target=self._accept, args=[listener], daemon=True).start()

    def cut_after(self, replies: int) -> None:
        """Cut instead of letting one more reply through after so many: what it answers has been done all the same."""
        self._replies_left = replies

    def cut(self) -> None:
        """Break every connection, and refuse new ones."""
        with self._change:
            self._replies_left = None
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
                try:
                    far.connect(str(self._server.folder / _SOCKET))
                except OSError:  # the server is down, and the wire is still there when it is back
                    near.close()
                    continue
                with self._change:
                    if self._listener is not listener:  # it was cut meanwhile
                        near.close()
                        far.close()
                        return
                    self._ends += [near, far]
                for one, other, passes in ((near, far, self._slowly), (far, near, self._passes)):
                    threading.Thread(target=_carry, args=[one, other, passes], daemon=True).start()

    def _slowly(self, data: bytes) -> bool:
        time.sleep(self.delay_s)
        if self.bytes_a_second is not None:
            time.sleep(len(data) / self.bytes_a_second)
        return True

    def _passes(self, _data: bytes) -> bool:
        """Count a reply; cut the wire in place of the first that is too many."""
        time.sleep(self.delay_s)
        with self._change:
            if self._replies_left is None:
                return True
            self._replies_left -= 1
            if self._replies_left >= 0:
                return True
            self.cut()
        return False


def _carry(one: socket.socket, other: socket.socket, passes: Callable[[bytes], bool]) -> None:
    with suppress(OSError):
        while (data := one.recv(65536)) and passes(data):
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
            server.stop("immediate")
        shutil.rmtree(folder, ignore_errors=True)
