"""The site's own command that releases a camera; what the camera takes comes into the folder."""

from __future__ import annotations

import contextlib
import os
import signal
import subprocess
import tempfile
from collections.abc import Sequence
from pathlib import Path
from typing import IO

from kiosk.devices.camera.fault_hints import explained
from kiosk.errors import CameraFault, os_reason

_READ_BYTES = 2000
"""How much of the end of what the command says is looked at."""

_NOT_PASSED_ON = "PYTHONPATH"
"""The variable of the camera's own process (`ChildProcess`) that would change what a command does."""


class Trigger:
    """One run of the command after another; one that still runs when the next begins is ended with all it started.

    Parameters
    ----------
    command
        A program and its arguments; no shell reads them.
    folder
        Where it runs, and where its pictures come in.
    """

    def __init__(self, command: Sequence[str], folder: Path) -> None:
        self._command = list(command)
        self._folder = folder
        self._running: subprocess.Popen[bytes] | None = None
        self._said: IO[bytes] | None = None

    def release(self) -> None:
        """Start the command, and do not wait for it.

        Raises
        ------
        CameraFault
            It cannot be started.
        """
        self.end()
        environment = {name: value for name, value in os.environ.items() if name != _NOT_PASSED_ON}
        self._said = tempfile.TemporaryFile()  # noqa: SIM115
        try:
            self._running = subprocess.Popen(
                self._command,
                cwd=self._folder,
                env=environment,
                stdin=subprocess.DEVNULL,
                stdout=subprocess.DEVNULL,
                stderr=self._said,
                start_new_session=True,
            )
        except OSError as error:
            self.end()
            raise CameraFault(detail=f"its command {self._command[0]} cannot be run: {os_reason(error)}") from error

    def check(self) -> None:
        """Return where the command still runs, or has ended well.

        Raises
        ------
        CameraFault
            It has failed; with the last line that it said, where that can be shown.
        """
        code = self._running.poll() if self._running is not None else None
        if not code:
            return
        how = f"was ended by signal {-code}" if code < 0 else f"ended with code {code}"
        reason = explained(self._last_line())["detail"]
        raise CameraFault(detail=f"its command {self._command[0]} {how}: {reason}")

    def end(self) -> None:
        """End the command if it still runs, with all that it has started; may be called twice."""
        if self._running is not None:
            with contextlib.suppress(ProcessLookupError):
                os.killpg(self._running.pid, signal.SIGKILL)
            self._running.wait()
            self._running = None
        if self._said is not None:
            self._said.close()
            self._said = None

    def _last_line(self) -> str:
        if self._said is None:
            return ""
        end = self._said.seek(0, os.SEEK_END)
        self._said.seek(max(0, end - _READ_BYTES))
        lines = self._said.read().decode(errors="backslashreplace").strip().splitlines()
        return lines[-1] if lines else ""
