"""The booth's heartbeat to systemd: readiness, a watchdog signal for as long as the frame loop ticks, and its state.

The protocol is that of sd_notify(3): datagrams of `KEY=value` lines to the socket that NOTIFY_SOCKET names. Nothing is
sent if the variable is not set.
"""

from __future__ import annotations

import contextlib
import os
import socket
from collections.abc import Callable, Mapping

from kiosk.system.clock import Clock

BEATS_A_LIMIT = 4
"""The number of beats sent within the watchdog's limit; sd_watchdog_enabled(3) recommends one every half of it."""

Send = Callable[[str], None]


class Heartbeat:
    """A heartbeat that depends on ticks of the frame loop, so that systemd notices when the loop hangs.

    Parameters
    ----------
    clock
        The clock that spaces the beats.
    send
        Sends a message; `to_systemd` returns the real function.
    limit_s
        Seconds without a beat after which systemd kills the booth; 0 if there is no watchdog.
    """

    def __init__(self, clock: Clock, send: Send, limit_s: float = 0.0) -> None:
        self._clock = clock
        self._send = send
        self._interval_s = limit_s / BEATS_A_LIMIT
        self._beaten_s: float | None = None
        self._state = ""

    def beat(self, state: str) -> None:
        """Report a tick of the frame loop; `systemctl status` shows `state`."""
        now_s = self._clock.now_s()
        messages = []
        if self._beaten_s is None:
            messages.append("READY=1")
        if state != self._state:
            self._state = state
            messages.append(f"STATUS={state}")
        if self._beaten_s is None or (self._interval_s and now_s - self._beaten_s >= self._interval_s):
            self._beaten_s = now_s
            messages.append("WATCHDOG=1")
        if messages:
            self._send("\n".join(messages))

    def stop(self) -> None:
        """Report that the booth is shutting down regularly."""
        self._send("STOPPING=1")


def make_heartbeat(clock: Clock, environment: Mapping[str, str] = os.environ) -> Heartbeat:
    """Return a heartbeat configured by systemd's environment variables."""
    watched = environment.get("WATCHDOG_PID", str(os.getpid())) == str(os.getpid())
    limit_s = int(environment.get("WATCHDOG_USEC", "0")) / 1e6 if watched else 0.0
    return Heartbeat(clock, to_systemd(environment.get("NOTIFY_SOCKET", "")), limit_s)


def to_systemd(address: str) -> Send:
    """Return a function that sends a message to a local socket, and drops it rather than block."""
    if not address:
        return lambda _: None
    place = "\0" + address[1:] if address.startswith("@") else address

    def send(message: str) -> None:
        with contextlib.suppress(OSError), socket.socket(socket.AF_UNIX, socket.SOCK_DGRAM) as notified:
            notified.setblocking(False)
            notified.sendto(message.encode(), place)

    return send
