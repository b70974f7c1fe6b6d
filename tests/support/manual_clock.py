"""A clock for simulations that run faster than time."""

from __future__ import annotations

from datetime import UTC, date, datetime, timedelta


class ManualClock:
    """A clock that moves only when told; for simulations that run faster than time."""

    def __init__(self, start_s: float = 0.0, day: date = date(2026, 1, 1)) -> None:
        self._now_s = start_s
        self._day = day

    def now_s(self) -> float:
        """Return the seconds the clock was moved to."""
        return self._now_s

    def today(self) -> date:
        """Return the fixed day."""
        return self._day

    def now(self) -> datetime:
        """Return the seconds the clock was moved to, counted from the start of the day in UTC."""
        return datetime.combine(self._day, datetime.min.time(), UTC) + timedelta(seconds=self._now_s)

    def sleep(self, seconds: float) -> None:
        """Move the clock on by `seconds`."""
        self._now_s += seconds
