"""Limits for the silence of a camera's process, and the measure of it."""

from __future__ import annotations

from dataclasses import dataclass

from kiosk.devices.base import DeviceState
from kiosk.errors import DeviceTimeout

_INTERVALS_BORNE = 15
"""The number of usual intervals without a frame that count as silence (practice: longer than any good connection
falters)."""

_FEW = 5
"""The number of frames after which the pace is known."""

_MANY = 30
"""The number of frames after which the pace is measured again, because it changes with the light."""


@dataclass(frozen=True, slots=True)
class Timeouts:
    """How long the child may be silent, in seconds.

    Chosen to stand clear of what was measured on two cores: the simulated camera's first frame comes 0.4 s after its
    process was started; with libgphoto2 2.5.34 a busy preview takes 0.2 s and a stalled one 2.5 s, a 7 MB still arrives
    within 1 s, and a capture that never completes returns after 20 s at the earliest.

    Attributes
    ----------
    start_s
        From the order to begin to the first live frame, and between two looks for a camera that is not there.
    frame_age_s
        Age of the newest live frame, of a camera whose pace is known (`Pace`); a slow one has longer.
    resume_s
        The same after a start or a shot, while the pace is not known, and the longest for any camera.
    shot_s
        From the order to the still.
    close_s
        For leaving the live view at the end.
    """

    start_s: float = 15.0
    frame_age_s: float = 1.5
    resume_s: float = 4.0
    shot_s: float = 12.0
    close_s: float = 2.0


class Pace:
    """The pace of one live view, measured over the last thirty frames or so.

    A body that shows thirty frames a second and has shown none for 1.5 s has stopped; one that shows two a second may
    only be slow in a dim room, and 1.5 s are three of its frames. And after a start or a shot nothing is known: the
    mirror goes up, the sensor starts.
    """

    def __init__(self) -> None:
        self.begin(0.0, 0)

    def begin(self, now_s: float, sequence: int) -> None:
        """Discard the pace: the live view starts, or starts again, after the frame of that number."""
        self._interval_s: float | None = None
        self._since_s, self._since = now_s, sequence

    def came(self, now_s: float, sequence: int) -> None:
        """Note the number of the newest frame."""
        count = sequence - self._since
        if count >= _FEW:
            self._interval_s = (now_s - self._since_s) / count
        if count >= _MANY:
            self._since_s, self._since = now_s, sequence

    def patience_s(self, limits: Timeouts) -> float:
        """Return how old the newest frame may be: fifteen usual intervals, within the limits."""
        if self._interval_s is None:
            return limits.resume_s
        return max(limits.frame_age_s, min(limits.resume_s, round(_INTERVALS_BORNE * self._interval_s, 1)))


class Silence:
    """How long one child has been silent, against what it may be in its state."""

    def __init__(self, limits: Timeouts) -> None:
        self._limits = limits
        self._pace = Pace()
        self._since_s = 0.0

    def broken(self, now_s: float) -> None:
        """Note an order, or an answer, from which on the silence counts."""
        self._since_s = now_s

    def live_view_began(self, now_s: float, sequence: int) -> None:
        """Expect live frames after that number, at a pace that is not known yet."""
        self._since_s = now_s
        self._pace.begin(now_s, sequence)

    def frame_came(self, now_s: float, sequence: int) -> None:
        """Note the number of the newest live frame."""
        self._since_s = now_s
        self._pace.came(now_s, sequence)

    def judged(self, state: DeviceState, now_s: float, start_s: float) -> DeviceTimeout | None:
        """Return the fault of a child that has been silent for too long, None where it has not.

        Parameters
        ----------
        state
            The camera's; in any but `ready` and `busy` the child is starting.
        start_s
            How long this start may take.
        """
        operation, limit_s = {
            "ready": ("the next live frame", self._pace.patience_s(self._limits)),
            "busy": ("the shot", self._limits.shot_s),
        }.get(state, ("starting", start_s))
        if now_s - self._since_s <= limit_s:
            return None
        return DeviceTimeout(device="The camera", operation=operation, limit_s=limit_s)
