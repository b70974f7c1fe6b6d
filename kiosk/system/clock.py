"""Time as an argument: the one place where the program asks what time it is."""

from __future__ import annotations

import time
from datetime import UTC, date, datetime
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
