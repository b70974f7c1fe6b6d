"""The PIN's lock: after some wrong ones, longer and longer waits; NIST SP 800-63B, 5.2.2 names 30 s up to an hour.

A restart begins the wait of the wrong ones so far anew, so that nobody gets more tries by pulling the plug.
"""

from __future__ import annotations

from dataclasses import dataclass

FREE_TRIES = 3
"""Wrong PINs in a row before the first wait."""
FIRST_WAIT_S, LONGEST_WAIT_S = 30.0, 900.0
"""The wait doubles with each further wrong PIN. At the longest, 100 tries, the most that NIST SP 800-63B allows, take a
whole day."""


@dataclass(frozen=True, slots=True)
class Lock:
    """How many PINs in a row were wrong, and until when (monotonic seconds) none is taken."""

    wrong: int = 0
    until_s: float = 0.0

    def left_s(self, now_s: float) -> float:
        """Return for how long no PIN is taken."""
        return max(self.until_s - now_s, 0.0)


def locked(wrong: int, now_s: float) -> Lock:
    """Return the lock after the last of `wrong` PINs, or at the start of a booth that remembers them."""
    if wrong < FREE_TRIES:
        return Lock(wrong)
    doublings = min(wrong - FREE_TRIES, 10)
    return Lock(wrong, now_s + min(FIRST_WAIT_S * 2**doublings, LONGEST_WAIT_S))
