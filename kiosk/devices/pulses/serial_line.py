"""Pulses on a serial port: bytes that a validator sends, or one of the port's four inputs.

The output DTR opens the validator (EIA-232, circuit 108/2), and falls with the process: a booth that has crashed takes
no coins.
"""

from __future__ import annotations

import contextlib
import errno
import time
from typing import Literal

import serial

Signal = Literal["data", "cts", "dsr", "ri", "cd"]
"""Bytes, or an input of the port."""

LOOK_S = 0.004
"""How often an input is looked at: at least five times in the shortest pulse that validators can be set to, some 25 ms
(from memory of their data sheets)."""
_NO_SUCH_LINE = (errno.EINVAL, errno.ENOTTY)
"""What a port says that has no such output, as an adapter or a pseudo-terminal may have none."""


class SerialLine:
    """A validator on a serial port.

    Parameters
    ----------
    port
        The device file.
    baud
        The speed, for bytes.
    signal
        Where pulses come.
    byte
        The byte that is a pulse; None takes every one.
    """

    def __init__(self, port: str, baud: int = 9600, signal: Signal = "data", byte: int | None = None) -> None:
        self._path = port
        self._baud = baud
        self._signal = signal
        self._byte = byte
        self._was_on = False
        self._port: serial.Serial | None = None

    @property
    def name(self) -> str:
        """The port and the signal."""
        return f"{self._path} ({self._signal})"

    def open(self) -> None:
        """Open the port, for this process alone."""
        if self._port is None:
            port = serial.Serial(baudrate=self._baud, exclusive=True)
            port.port, port.dtr = self._path, False
            port.open()
            self._port = port
            self._was_on = self._is_on(port)

    def accept(self, *, on: bool) -> None:
        """Raise or lower DTR."""
        try:
            self._opened.dtr = on
        except OSError as error:
            if error.errno not in _NO_SUCH_LINE:
                raise

    def wait(self, limit_s: float) -> int:
        """Return the pulses, which are bytes or rising edges of the input."""
        port = self._opened
        if self._signal == "data":
            port.timeout = limit_s
            came = port.read(max(port.in_waiting, 1))
            came += port.read(port.in_waiting) if came else b""
            return len(came) if self._byte is None else came.count(self._byte)
        end_s = time.monotonic() + limit_s
        while True:
            is_on, was_on = self._is_on(port), self._was_on
            self._was_on = is_on
            if is_on and not was_on:
                return 1
            if time.monotonic() >= end_s:
                return 0
            time.sleep(LOOK_S)

    def close(self) -> None:
        """Close the port."""
        if self._port is not None:
            with contextlib.suppress(OSError):
                self._port.close()
            self._port = None

    @property
    def _opened(self) -> serial.Serial:
        if self._port is None:
            raise OSError(errno.EBADF, "the port is closed")
        return self._port

    def _is_on(self, port: serial.Serial) -> bool:
        return self._signal != "data" and bool(getattr(port, self._signal))
