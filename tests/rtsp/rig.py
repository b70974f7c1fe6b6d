"""GStreamer's server as a test uses it: started in its own process, ended with the test."""

from __future__ import annotations

import subprocess
from pathlib import Path
from typing import Self


class RealServer:
    """A running server.

    Parameters
    ----------
    arguments
        Of its command line: a port, and who is let in.
    """

    def __init__(self, *arguments: str) -> None:
        script = Path(__file__).with_name("gstreamer_server.py")
        self._process = subprocess.Popen(
            ["/usr/bin/python3", str(script), *arguments],
            stdin=subprocess.PIPE,
            stdout=subprocess.PIPE,
            text=True,
        )
        assert self._process.stdout is not None
        self.port = int(self._process.stdout.readline())

    def __enter__(self) -> Self:
        return self

    def __exit__(self, *_: object) -> None:
        self.close()

    def address(self, stream: str) -> str:
        """Return the address of a stream."""
        return f"rtsp://127.0.0.1:{self.port}/{stream}"

    def close(self) -> None:
        """Kill it; may be called twice."""
        self._process.kill()
        self._process.communicate()
