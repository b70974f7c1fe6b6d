"""A PostgreSQL server of one's own, on a socket in a temporary folder, without a port."""

from __future__ import annotations

import os
import pwd
import shutil
import subprocess
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

_USER = "nobody"
"""PostgreSQL refuses to run as root."""
_SECONDS = 120


class Server:
    """The server's process, its folder, and the address of its one database."""

    def __init__(self, folder: Path) -> None:
        self._folder = folder
        self._bin = max(Path("/usr/lib/postgresql").glob("*/bin"))
        self._run("initdb", "-D", self._data, "-A", "trust", "-U", "roster", "-E", "UTF8", "--locale=C.UTF-8", "-N")
        self.start()

    @property
    def url(self) -> str:
        """As SQLAlchemy takes it."""
        return f"postgresql+psycopg://roster@/postgres?host={self._folder}"

    def start(self) -> None:
        """Start, and wait until it answers."""
        options = f"-c fsync=off -c listen_addresses='' -c unix_socket_directories={self._folder}"
        log = str(self._folder / "log")
        self._run("pg_ctl", "-D", self._data, "-w", "-t", str(_SECONDS), "-l", log, "-o", options, "start")

    def stop(self) -> None:
        """Break off every connection."""
        self._run("pg_ctl", "-D", self._data, "-m", "fast", "-w", "stop")

    @property
    def _data(self) -> str:
        return str(self._folder / "data")

    def _run(self, program: str, *arguments: str) -> None:
        nobody = pwd.getpwnam(_USER) if os.geteuid() == 0 else None
        identity = {"user": nobody.pw_uid, "group": nobody.pw_gid, "extra_groups": []} if nobody else {}
        command = [str(self._bin / program), *arguments]
        environment = {"PATH": os.environ["PATH"], "LC_ALL": "C.UTF-8", "HOME": str(self._folder)}
        done = subprocess.run(
            command,
            env=environment,
            cwd=self._folder,
            check=False,
            capture_output=True,
            timeout=2 * _SECONDS,
            **identity,
        )
        if done.returncode:
            raise RuntimeError(f"{program}: {done.stderr.decode()}")


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
