"""The booth's heartbeat to systemd: told ready once, alive for as long as the frame loop really ticks, and its state.

The protocol is that of sd_notify(3): datagrams of `KEY=value` lines to the socket that NOTIFY_SOCKET names. Where
nobody watches, nothing is sent.
"""

from __future__ import annotations

import contextlib
import os
import socket
from collections.abc import Callable, Mapping

from kiosk.system.clock import Clock

BEATS_A_LIMIT = 4
"""Beats sent within the watchdog's limit: sd_watchdog_enabled(3) asks for one every half of it."""

Send = Callable[[str], None]


class Heartbeat:
    """Beats when the frame loop has ticked, and never by itself.

    Parameters
    ----------
    clock
        Spaces the beats.
    send
        Takes a message; `to_systemd` returns the real one.
    limit_s
        After how many seconds without a beat the booth is killed; 0 where nobody watches.
    """

    def __init__(self, clock: Clock, send: Send, limit_s: float = 0.0) -> None:
        self._clock = clock
        self._send = send
        self._rest_s = limit_s / BEATS_A_LIMIT
        self._beaten_s: float | None = None
        self._state = ""

    def beat(self, state: str) -> None:
        """Say that the loop has ticked; `state` is shown by `systemctl status`."""
        now_s = self._clock.now_s()
        messages = []
        if self._beaten_s is None:
            messages.append("READY=1")
        if state != self._state:
            self._state = state
            messages.append(f"STATUS={state}")
        if self._beaten_s is None or (self._rest_s and now_s - self._beaten_s >= self._rest_s):
            self._beaten_s = now_s
            messages.append("WATCHDOG=1")
        if messages:
            self._send("\n".join(messages))

    def stop(self) -> None:
        """Say that the booth ends because it was told to."""
        self._send("STOPPING=1")


def heart_of(clock: Clock, environment: Mapping[str, str] = os.environ) -> Heartbeat:
    """Return the heart that the environment asks for."""
    watched = environment.get("WATCHDOG_PID", str(os.getpid())) == str(os.getpid())
    limit_s = int(environment.get("WATCHDOG_USEC", "0")) / 1e6 if watched else 0.0
    return Heartbeat(clock, to_systemd(environment.get("NOTIFY_SOCKET", "")), limit_s)


def to_systemd(address: str) -> Send:
    """Return what sends a message to a socket of this machine; a beat that cannot be sent now is not waited for."""
    if not address:
        return lambda _: None
    place = "\0" + address[1:] if address.startswith("@") else address

    def send(message: str) -> None:
        with contextlib.suppress(OSError), socket.socket(socket.AF_UNIX, socket.SOCK_DGRAM) as notified:
            notified.setblocking(False)
            notified.sendto(message.encode(), place)

    return send
