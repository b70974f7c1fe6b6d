"""When a tethered body's pictures were taken, by its clock, which it shows and writes into them."""

from __future__ import annotations

import time
from dataclasses import dataclass, field

from kiosk.devices.camera.body_clock import BodyClock, taken_s
from kiosk.devices.gphoto2.connect import Connection, ConnectionLost
from kiosk.errors import CameraFault

NO_TIME = (
    "The camera's pictures do not say when they were taken, so that one by its own button could be taken for an "
    "ordered one; set its clock."
)
_SHOWN_LATE_S = 4.0
"""By how much the time that a body shows may lag: two seconds in libgphoto2, and whole seconds at both ends."""


@dataclass
class PictureTimes:
    """The times of the pictures of one connection."""

    connection: Connection
    _clock: BodyClock = field(default_factory=BodyClock)
    _shown: tuple[float, float] | None = None
    _has_noticed: bool = False
    _notices: list[str] = field(default_factory=list)

    def read_clock(self) -> None:
        """Learn the body's clock from the time that it shows, if it shows one, and follow it if it was set.

        libgphoto2 shows a Nikon's time up to two seconds late, and a Canon EOS's as it was at the start for ever
        (measured with 2.5.34): a time that stands still says nothing.

        Raises
        ------
        ConnectionLost
            The camera is gone.
        """
        try:
            widget = self.connection.call("get_single_config", "datetime")
        except ConnectionLost:
            raise
        except CameraFault:
            return
        if widget is None:
            return
        shown_s, now_s = float(widget.get_value()), time.monotonic()
        before, self._shown = self._shown, (shown_s, now_s)
        if before is None:
            self._clock = BodyClock(shown_s - now_s)
        elif shown_s == before[0]:
            self._shown = before
        elif abs(set_by_s := (shown_s - before[0]) - (now_s - before[1])) > _SHOWN_LATE_S:
            self._clock.follow(set_by_s)

    def is_older(self, jpeg: bytes, ordered_s: float) -> bool:
        """Return whether a picture that came just now was taken before it was ordered.

        Parameters
        ----------
        ordered_s
            By the machine's monotonic clock.

        Raises
        ------
        ConnectionLost
            The camera is gone.
        """
        taken = taken_s(jpeg)
        if taken is None and not self._has_noticed:
            self._has_noticed = True
            self._notices.append(NO_TIME)
        is_older = self._clock.is_older(taken, ordered_s, time.monotonic())
        if is_older:
            self.read_clock()
        return is_older

    def on_machine_s(self, jpeg: bytes) -> float | None:
        """Return when a picture was taken by the machine's monotonic clock, None where that is not known."""
        return self._clock.on_machine_s(taken_s(jpeg))

    def notices(self) -> list[str]:
        """Return that the pictures carry no time, once."""
        notices, self._notices = self._notices, []
        return notices
