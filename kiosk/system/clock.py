"""Time as an argument: the one place where the program asks what time it is."""

from __future__ import annotations

import time
from datetime import UTC, date, datetime, timedelta
from typing import Protocol


class Clock(Protocol):
    """Source of monotonic seconds, of the calendar day and of the wall time."""

    def now_s(self) -> float:
        """Return monotonic seconds."""
        ...

    def today(self) -> date:
        """Return the calendar day in the zone of the booth: what a sheet says, and what a promise is kept by."""
        ...

    def now(self) -> datetime:
        """Return the wall time in the zone of the booth; it may jump."""
        ...

    def sleep(self, seconds: float) -> None:
        """Wait, or move the clock on."""
        ...


class SystemClock:
    """The machine's own clock."""

    def now_s(self) -> float:
        """Return monotonic seconds."""
        return time.monotonic()

    def today(self) -> date:
        """Return the calendar day in the machine's zone."""
        return self.now().date()

    def now(self) -> datetime:
        """Return the wall time in the machine's zone."""
        return datetime.now(UTC).astimezone()

    def sleep(self, seconds: float) -> None:
        """Wait for `seconds`."""
        time.sleep(seconds)


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
