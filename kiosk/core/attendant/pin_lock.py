"""The lock on the PIN: waits that grow with every wrong PIN; NIST SP 800-63B, 5.2.2 names 30 s up to an hour.

The count of wrong PINs survives a restart, which starts the current wait from the beginning. Nobody gains tries by
pulling the plug.
"""

from __future__ import annotations

from dataclasses import dataclass

FREE_TRIES = 3
"""Consecutive wrong PINs up to the first wait."""
FIRST_WAIT_S, LONGEST_WAIT_S = 30.0, 900.0
"""The wait doubles with each further wrong PIN. At the longest wait, the 100 tries that NIST SP 800-63B allows take a
whole day."""


@dataclass(frozen=True, slots=True)
class Lock:
    """The number of consecutive wrong PINs, and the time (monotonic seconds) until which no PIN is accepted."""

    wrong: int = 0
    until_s: float = 0.0

    def left_s(self, now_s: float) -> float:
        """Return the remaining wait in seconds."""
        return max(self.until_s - now_s, 0.0)


def locked(wrong: int, now_s: float) -> Lock:
    """Return the lock after `wrong` consecutive wrong PINs, at the last of them or at a restart."""
    if wrong < FREE_TRIES:
        return Lock(wrong)
    doublings = min(wrong - FREE_TRIES, 10)
    return Lock(wrong, now_s + min(FIRST_WAIT_S * 2**doublings, LONGEST_WAIT_S))
