"""The shots of one camera: those on order, and whether one of them may have left its files on the camera."""

from __future__ import annotations

import math
from collections import deque

from kiosk.core.base.ticket import Ticket


class Shots:
    """The tickets on order, oldest first; the first of them is the one that is taken.

    A shot's files stay on the camera until the next live frame has come. If the child ends before, nobody removes them
    but the next child, which is then asked to (`LOST_SHOT`).
    """

    def __init__(self) -> None:
        self._tickets: deque[Ticket] = deque()
        self._left_after = math.inf
        self._are_files_left = False

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

    def ended(self, sequence: int) -> None:
        """Note that the first shot has come, or will not; `sequence` is the number of the last live frame."""
        self._tickets.popleft()
        self._left_after = sequence

    def frame_came(self, sequence: int) -> None:
        """Note the number of the newest live frame."""
        if sequence > self._left_after:
            self._left_after = math.inf

    def lost(self) -> list[Ticket]:
        """Note that the child ended; return the shots that were on order, which are so no more."""
        lost = list(self._tickets)
        self._are_files_left |= bool(lost) or self._left_after < math.inf
        self._tickets.clear()
        self._left_after = math.inf
        return lost

    def left_files(self) -> bool:
        """Return once, to the child that now has the camera, whether another has left files of a shot on it."""
        left, self._are_files_left = self._are_files_left, False
        return left
