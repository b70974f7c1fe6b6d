"""The page's own process, seen from the booth, which starts it and ends it."""

from __future__ import annotations

import contextlib
import os
import subprocess
import sys
from typing import Protocol

_MODULE = "kiosk.page.child_main"
_RETURNED_BYTES = 128 << 10
"""The size from which freed memory, such as a TLS connection's buffer, returns to the kernel at once."""


class Running(Protocol):
    """What has been started to serve a page."""

    @property
    def is_gone(self) -> bool:
        """Whether it has ended."""
        ...

    def kill(self) -> None:
        """End it."""
        ...

    def wait(self, limit_s: float) -> None:
        """Wait for its end, at most for `limit_s`."""
        ...


class Inherited(Protocol):
    """What has a descriptor."""

    def fileno(self) -> int:
        """Return the descriptor."""
        ...


class Interpreter:
    """An interpreter of its own, which has inherited some descriptors and imports nothing of the booth's.

    Parameters
    ----------
    inherited
        What has the descriptors, which are the program's arguments.
    module
        The main program.

    Raises
    ------
    OSError
        The machine has no room for another process.
    """

    def __init__(self, *inherited: Inherited, module: str = _MODULE) -> None:
        descriptors = [each.fileno() for each in inherited]
        self._process = subprocess.Popen(
            [sys.executable, "-P", "-m", module, *map(str, descriptors)],
            stdin=subprocess.DEVNULL,
            stdout=subprocess.DEVNULL,
            pass_fds=descriptors,
            env=os.environ
            | {
                "PYTHONPATH": os.pathsep.join(filter(None, sys.path)),
                "MALLOC_MMAP_THRESHOLD_": str(_RETURNED_BYTES),
            },
        )

    @property
    def pid(self) -> int:
        """The process id."""
        return self._process.pid

    @property
    def is_gone(self) -> bool:
        """Whether the process has ended; reading this also reaps it."""
        return self._process.poll() is not None

    def kill(self) -> None:
        """End the process; one that hangs inside the kernel ends later."""
        self._process.kill()

    def wait(self, limit_s: float) -> None:
        """Wait for its end, at most for `limit_s`."""
        with contextlib.suppress(subprocess.TimeoutExpired):
            self._process.wait(limit_s)
