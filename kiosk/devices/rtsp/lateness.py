"""When a picture was taken, by the camera's clock, which nobody has set.

The picture that came soonest after its time on the camera's clock is the measure: one that comes later after its own
has waited on the way. What even the quickest picture takes, from the lens to here, cannot be seen from here.
"""

from __future__ import annotations

from kiosk.devices.rtsp.codecs import CLOCK_HZ

DRIFT = 1e-4
"""How much a camera's clock may go wrong: crystals keep 100 parts in a million (from memory)."""

JUMP_S = 4.0
"""A step between two pictures that is no delay but another time on the camera's clock: a connection that is silent for
as long is given up."""

_BACK_S = 1.0
"""The same backwards; a picture that is shown before one that was sent before it is a few pictures off."""

_WRAP = 1 << 32


class TakenTimes:
    """Times on this machine's clock for the times on one camera's."""

    def __init__(self) -> None:
        self._ticks: int | None = None
        self._elapsed_s = 0.0
        self._offset_s = 0.0
        self._arrived_s = 0.0

    def taken_s(self, ticks: int, arrived_s: float) -> float:
        """Return when a picture would have arrived if it had not waited; at most `arrived_s`."""
        if self._ticks is None:
            self._begin(ticks, arrived_s)
            return arrived_s
        step_s = ((ticks - self._ticks + _WRAP // 2) % _WRAP - _WRAP // 2) / CLOCK_HZ
        passed_s = arrived_s - self._arrived_s
        if abs(passed_s - step_s) > JUMP_S or step_s < -_BACK_S:
            self._begin(ticks, arrived_s)
            return arrived_s
        self._ticks, self._arrived_s = ticks, arrived_s
        self._elapsed_s += step_s
        self._offset_s = min(self._offset_s + DRIFT * passed_s, arrived_s - self._elapsed_s)
        return self._elapsed_s + self._offset_s

    def _begin(self, ticks: int, arrived_s: float) -> None:
        self._ticks, self._arrived_s = ticks, arrived_s
        self._elapsed_s, self._offset_s = 0.0, arrived_s
