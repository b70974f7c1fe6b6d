"""When a camera's process is started again, and how long a start may take."""

from __future__ import annotations

import math

DELAYS_S = (0.0, 0.5, 1.0, 2.0)
"""The delays before the first, second, ... restart in a row, in seconds; the last one is for all further ones."""

HEALTHY_S = 10.0
"""After so many seconds of live view a fault counts as the first one again."""

SETTLED_S = 1.0
"""After so many seconds of live view the first child no longer needs the whole processor."""

LONGEST_START = 8
"""The greatest multiple of the limit that a start is given. On a machine busy with other things a child would else be
killed for ever just before it is there (measured, with twenty programs on two cores)."""


class Restarts:
    """The history of the starts of one camera's processes.

    A child that ends is replaced immediately at first, then ever later, and immediately again only after one that has
    delivered for 10 s. A child that did not start in time is given longer at the next try.
    """

    def __init__(self) -> None:
        self._ready_s = math.inf
        self._due_s = 0.0
        self._failures = 0
        self._slow_starts = 0

    def opened(self, now_s: float) -> None:
        """Note that the child has delivered its first live frame."""
        self._ready_s = now_s
        self._slow_starts = 0

    def failed(self, now_s: float, *, is_late: bool) -> None:
        """Note that the child has ended, or was ended because it was late."""
        self._slow_starts += is_late and self._ready_s == math.inf
        if now_s - self._ready_s >= HEALTHY_S:
            self._failures = 0
        self._ready_s = math.inf
        self._due_s = now_s + DELAYS_S[min(self._failures, len(DELAYS_S) - 1)]
        self._failures += 1

    def is_due(self, now_s: float) -> bool:
        """Return whether the next child may be started."""
        return now_s >= self._due_s

    def is_settled(self, now_s: float) -> bool:
        """Return whether the live view has run for so long that a spare child may be loaded beside it."""
        return now_s - self._ready_s >= SETTLED_S

    def start_limit_s(self, limit_s: float) -> float:
        """Return how long the present start may take, from the limit for a first one."""
        return limit_s * min(1 + self._slow_starts, LONGEST_START)
