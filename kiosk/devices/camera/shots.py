"""The shots of one camera: those on order, and since when one of them may have left its files on the camera."""

from __future__ import annotations

import math
from collections import deque

from kiosk.core.base.ticket import Ticket


class Shots:
    """The tickets on order, oldest first; the first of them is the one that is taken.

    A shot's files stay on the camera until the next live frame has come. If the child ends before, nobody removes them
    but a later child, which is asked to (`LOST_SHOT`) and does so with the files of its next still.
    """

    def __init__(self) -> None:
        self._tickets: deque[Ticket] = deque()
        self._left_after = math.inf
        self._has_still = False
        self._lost_at_s: float | None = None

    @property
    def first(self) -> Ticket | None:
        """The shot to take, or None where none is on order."""
        return self._tickets[0] if self._tickets else None

    def order(self, ticket: Ticket) -> bool:
        """Put a shot last; return whether it was not on order before."""
        if ticket in self._tickets:
            return False
        self._tickets.append(ticket)
        return True

    def ended(self, sequence: int, *, has_still: bool) -> None:
        """Note that the first shot has come, or will not; `sequence` is the number of the last live frame."""
        self._tickets.popleft()
        self._left_after, self._has_still = sequence, has_still

    def frame_came(self, sequence: int) -> None:
        """Note the number of the newest live frame: with the files of a still before it, earlier ones are gone too."""
        if sequence > self._left_after:
            self._left_after = math.inf
            if self._has_still:
                self._lost_at_s = None

    def lost(self, now_s: float) -> list[Ticket]:
        """Note that the child ended; return the shots that were on order, which are so no more."""
        lost = list(self._tickets)
        if self._lost_at_s is None and (lost or self._left_after < math.inf):
            self._lost_at_s = now_s
        self._tickets.clear()
        self._left_after = math.inf
        return lost

    def lost_for_s(self, now_s: float) -> float | None:
        """Return how many seconds ago the first shot was lost whose files are still to be removed, None without one."""
        return None if self._lost_at_s is None else now_s - self._lost_at_s
