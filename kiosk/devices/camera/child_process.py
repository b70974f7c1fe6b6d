"""The camera's own process, seen from the parent, which starts it, sends it orders and ends it.

It is an interpreter of its own, which imports what a driver needs and nothing of the program that started it:
multiprocessing would import the parent's main module again in each child, which takes longer than all else there.
"""

from __future__ import annotations

import contextlib
import os
import subprocess
import sys
from collections.abc import Iterator
from multiprocessing import connection

from kiosk.devices.camera.driver import CameraDriver
from kiosk.devices.camera.mailbox import Mailbox
from kiosk.devices.camera.messages import CameraRequest, Message

_MODULE = "kiosk.devices.camera.child_main"


class ChildProcess:
    """One process; it is a spare one until `StartCamera` is sent to it.

    Parameters
    ----------
    driver
        Not yet open; the process gets a copy.
    live, stills
        Where it puts its pictures; it touches neither as a spare one.

    Raises
    ------
    OSError
        The machine has no room for another process, or no more file descriptors.
    """

    def __init__(self, driver: CameraDriver, live: Mailbox, stills: Mailbox) -> None:
        self._pipe, theirs = connection.Pipe()
        descriptors = theirs.fileno(), live.fileno(), stills.fileno()
        boxes = live.fileno(), live.capacity_bytes, stills.fileno(), stills.capacity_bytes
        try:
            with theirs:
                self._process = subprocess.Popen(
                    [sys.executable, "-P", "-m", _MODULE, *map(str, (theirs.fileno(), *boxes))],
                    pass_fds=descriptors,
                    env=os.environ | {"PYTHONPATH": os.pathsep.join(filter(None, sys.path))},
                )
        except OSError:
            self._pipe.close()
            raise
        self.send(driver)

    @property
    def pid(self) -> int:
        """The process id."""
        return self._process.pid

    @property
    def is_gone(self) -> bool:
        """Whether the process has ended; reading this also reaps it."""
        return self._process.poll() is not None

    def send(self, what: CameraRequest | CameraDriver) -> None:
        """Send an order, or at first the driver; it is lost where the process has ended."""
        with contextlib.suppress(OSError):
            self._pipe.send(what)

    def messages(self) -> Iterator[Message]:
        """Yield its messages, oldest first.

        Raises
        ------
        EOFError, OSError
            It has ended, and has nothing more to say.
        """
        while not self._pipe.closed and self._pipe.poll():
            yield self._pipe.recv()

    def kill(self) -> None:
        """End the process; one that hangs inside the kernel ends later."""
        self._pipe.close()
        self._process.kill()

    def wait(self, limit_s: float) -> None:
        """Wait for its end, at most for `limit_s`."""
        with contextlib.suppress(subprocess.TimeoutExpired):
            self._process.wait(limit_s)
