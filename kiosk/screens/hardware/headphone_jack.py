"""The headphone jack: whether headphones are in it, from the kernel's switch for it (linux/input-event-codes.h).

The sound card's driver offers the switch as an input device that sends an event at every change and answers for its
present state. It is only read from, never blocks, and is looked for again after it has gone.
"""

from __future__ import annotations

import fcntl
import logging
import math
import os
import struct
from pathlib import Path

EV_SYN, EV_SW = 0x00, 0x05
SYN_DROPPED = 3
SW_HEADPHONE_INSERT = 0x02
EVENT = struct.Struct("llHHi")
"""One event: seconds, microseconds, type, code and value (linux/input.h, `struct input_event`)."""
EVENTS_AT_ONCE = 64
AGAIN_S = 5.0
"""After how long a jack that is not there is looked for again."""
INPUTS = Path("/dev/input")

_log = logging.getLogger(__name__)


def _read_request(number: int, size: int) -> int:
    """Return the number of a reading request on an input device (asm-generic/ioctl.h)."""
    return 2 << 30 | size << 16 | ord("E") << 8 | number


EVIOCGSW = _read_request(0x1B, 1)
EVIOCGBIT_SW = _read_request(0x20 + EV_SW, 1)
"""The present state of the first eight switches, and which of them a device has, as a byte each."""


class HeadphoneJack:
    """Whether headphones are in the jack; without a jack, none ever are.

    Parameters
    ----------
    device
        The input device; None for the first that has a switch for headphones.
    """

    def __init__(self, device: Path | None = None, inputs: Path = INPUTS) -> None:
        self._device = device
        self._inputs = inputs
        self._file: int | None = None
        self._tried_s = -math.inf
        self._is_in = False
        self._rest = b""

    def is_in(self, now_s: float) -> bool:
        """Return whether headphones are in at `now_s` (monotonic seconds)."""
        if self._file is None and now_s - self._tried_s >= AGAIN_S:
            self._tried_s = now_s
            self._open()
        if self._file is not None:
            self._follow(self._file)
        return self._is_in

    def close(self) -> None:
        """Let go of the device; a second call does nothing."""
        if self._file is not None:
            os.close(self._file)
            self._file = None
        self._is_in, self._rest = False, b""

    def _open(self) -> None:
        for path in [self._device] if self._device else sorted(self._inputs.glob("event*")):
            try:
                file = os.open(path, os.O_RDONLY | os.O_NONBLOCK | os.O_CLOEXEC)
            except OSError as error:
                _log.debug("%s is no headphone jack: %s", path, error)
                continue
            if self._device or _switches(file, EVIOCGBIT_SW):
                self._file, self._is_in = file, _switches(file, EVIOCGSW)
                _log.info("the headphone jack is %s", path)
                return
            os.close(file)

    def _follow(self, file: int) -> None:
        """Take in the events that are waiting; a device that has gone holds no headphones."""
        try:
            events = os.read(file, EVENT.size * EVENTS_AT_ONCE)
        except BlockingIOError:
            return
        except OSError as error:
            _log.warning("the headphone jack has gone: %s", error)
            events = b""
        if not events:
            self.close()
            return
        whole = self._rest + events
        used = len(whole) - len(whole) % EVENT.size
        self._rest = whole[used:]
        for _, _, kind, code, value in EVENT.iter_unpack(whole[:used]):
            if (kind, code) == (EV_SW, SW_HEADPHONE_INSERT):
                self._is_in = bool(value)
            elif (kind, code) == (EV_SYN, SYN_DROPPED):
                self._is_in = _switches(file, EVIOCGSW)


def _switches(file: int, request: int) -> bool:
    """Return the bit of the headphones' switch in the answer to a request; False where the file answers none."""
    try:
        answer = fcntl.ioctl(file, request, bytes(1))
    except OSError:
        return False
    return bool(answer[0] >> SW_HEADPHONE_INSERT & 1)
