"""A UPS made up: the real upsd with the driver `dummy-ups`, on a free port of the loopback, in a folder of its own.

Needs the Debian packages nut-server and nut-client.
"""

from __future__ import annotations

import contextlib
import getpass
import os
import shutil
import signal
import subprocess
import tempfile
from collections.abc import Iterator
from dataclasses import dataclass, field
from pathlib import Path

from kiosk.core.base.mains import Mains
from kiosk.system.ups import ask_ups
from tests.support.ports import reserved_port
from tests.support.virtual_printer import end, wait_for

_DRIVER, _SERVER = "/lib/nut/dummy-ups", "/lib/nut/upsd"


@dataclass
class UpsLab:
    """A running upsd with one UPS."""

    folder: Path
    port: int
    running: list[subprocess.Popen[bytes]] = field(default_factory=list)

    @property
    def ups(self) -> str:
        """The name by which `upsc` asks."""
        return f"booth@127.0.0.1:{self.port}"

    def say(self, status: str) -> None:
        """Have the UPS say a status, and wait until it is heard."""
        said = self.folder / "saying"
        said.write_text(f"ups.status: {status}\n")
        said.replace(self.folder / "booth.dev")
        wait_for(lambda: _status(ask_ups(self.ups)) == status, "the UPS never said so")

    def start(self) -> None:
        """Start the driver and the server."""
        place = {
            "NUT_CONFPATH": str(self.folder),
            "NUT_STATEPATH": str(self.folder),
            "NUT_ALTPIDPATH": str(self.folder),
        }
        for command in ([_DRIVER, "-a", "booth"], [_SERVER]):
            log = (self.folder / "log").open("ab")
            with log:
                made = subprocess.Popen(
                    [*command, "-u", getpass.getuser(), "-F"],
                    env={**os.environ, **place},
                    stdout=log,
                    stderr=log,
                    start_new_session=True,
                )
            self.running.append(made)
            if command[0] == _DRIVER:
                wait_for(lambda: any(self.folder.glob("dummy-ups-booth*")), "the UPS's driver never came")

    def kill(self) -> None:
        """End the server and the driver."""
        while self.running:
            end(self.running.pop(), signal.SIGKILL)

    def freeze(self) -> None:
        """Stop the server, so that it takes connections and never answers."""
        os.killpg(self.running[-1].pid, signal.SIGSTOP)


def _status(mains: Mains) -> str:
    """Return what the UPS said, whether or not it tells of the mains."""
    return " ".join(mains.words) or mains.trouble.partition("its status is ")[2].rstrip(")")


@contextlib.contextmanager
def ups_lab() -> Iterator[UpsLab]:
    """Run a UPS that says that the mains are there."""
    folder = Path(tempfile.mkdtemp(prefix="ups-", dir="/tmp"))
    held, port = reserved_port()
    lab = UpsLab(folder, port)
    (folder / "ups.conf").write_text("[booth]\ndriver = dummy-ups\nport = booth.dev\npollinterval = 1\n")
    (folder / "upsd.conf").write_text(f"LISTEN 127.0.0.1 {lab.port}\n")
    (folder / "upsd.users").touch()
    (folder / "booth.dev").write_text("ups.status: OL\n")
    try:
        lab.start()
        wait_for(lambda: ask_ups(lab.ups).are_there, "upsd never answered")
        yield lab
    finally:
        lab.kill()
        held.close()
        shutil.rmtree(folder, ignore_errors=True)
