"""The only place where the program reads the time; everything else gets it from a `Clock` or as an argument."""

from __future__ import annotations

import time
from datetime import UTC, date, datetime
from typing import Protocol


class Clock(Protocol):
    """A source of monotonic time, wall time and the calendar day."""

    def now_s(self) -> float:
        """Return monotonic seconds."""
        ...

    def today(self) -> date:
        """Return the calendar day in the booth's time zone, as printed on sheets and used for deletion dates."""
        ...

    def now(self) -> datetime:
        """Return the wall time in the booth's time zone; it may jump."""
        ...

    def sleep(self, seconds: float) -> None:
        """Wait for `seconds`, or advance a manual clock."""
        ...


class SystemClock:
    """The machine's own clock."""

    def now_s(self) -> float:
        """Return monotonic seconds."""
        return time.monotonic()

    def today(self) -> date:
        """Return the calendar day in the machine's time zone."""
        return self.now().date()

    def now(self) -> datetime:
        """Return the wall time in the machine's time zone."""
        return datetime.now(UTC).astimezone()

    def sleep(self, seconds: float) -> None:
        """Wait for `seconds`."""
        time.sleep(seconds)
