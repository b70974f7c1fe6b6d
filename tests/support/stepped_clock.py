"""A manual clock that the parts of a booth keep which are threads and processes in life.

The frame loop moves the clock. A part that follows it works while no time passes, until it waits for a time or for
something to happen; then the next one works. So a print queue and a camera's program run as in life, in any number of
manual hours, without a scheduler between them, and a run with the same seed is the same run.
"""

from __future__ import annotations

import queue
from collections import deque
from collections.abc import Callable
from datetime import date
from math import inf
from typing import Any

from greenlet import GreenletExit, getcurrent, greenlet

from tests.support.manual_clock import ManualClock


class Follower:
    """A part that follows the clock, with the methods of a thread that the booth uses."""

    def __init__(self, clock: SteppedClock, target: Callable[[], object]) -> None:
        self.is_over: Callable[[], object] | None = None
        self.is_killed = False
        self._clock = clock
        self.work = greenlet(target, clock.leader)

    def start(self) -> None:
        """Work until it waits."""
        self._clock.followers[self.work] = self
        self.go_on()
        self._clock.settle()

    def is_alive(self) -> bool:
        """Return whether it has not ended."""
        return not self.work.dead

    def join(self, limit_s: float) -> None:
        """Let time pass until it has ended."""
        end_s = self._clock.now_s() + limit_s
        while self.is_alive() and self._clock.now_s() < end_s:
            self._clock.sleep(0.1)

    def go_on(self) -> None:
        """Work until it waits again, or ends."""
        self.is_over = None
        self.work.switch()
        if self.work.dead:
            del self._clock.followers[self.work]

    def kill(self) -> None:
        """End at the place where it waits, as the kernel ends a process."""
        if self.is_alive():
            self.is_killed = True
            self.work.throw()
            del self._clock.followers[self.work]


class SteppedClock(ManualClock):
    """A manual clock with followers; `sleep` from any of those waits, from the one who leads it moves time.

    Attributes
    ----------
    leader
        Whoever made the clock, and moves it.
    """

    def __init__(self, start_s: float = 0.0, day: date = date(2026, 1, 1)) -> None:
        super().__init__(start_s, day)
        self.leader = getcurrent()
        self.followers: dict[greenlet, Follower] = {}

    def sleep(self, seconds: float) -> None:
        """Move the clock on, or wait until it was moved on."""
        if getcurrent() is self.leader:
            self._now_s += seconds
            self.settle()
        else:
            self.wait(seconds)

    def wait(self, seconds: float, until: Callable[[], object] = lambda: False) -> bool:
        """Wait as a follower, until something is so or time is up; return whether it is so.

        Raises
        ------
        GreenletExit
            The follower was killed.
        """
        self.check()
        if until() or seconds <= 0.0:
            return bool(until())
        end_s = self._now_s + seconds
        self.followers[getcurrent()].is_over = lambda: self._now_s >= end_s or until()
        self.leader.switch()
        return bool(until())

    def check(self) -> None:
        """Return in a follower that was not killed; `GreenletExit` in another."""
        if self.followers[getcurrent()].is_killed:
            raise GreenletExit

    def settle(self) -> None:
        """Let every follower that has something to do work until it waits again."""
        while due := [each for each in self.followers.values() if each.is_over is not None and each.is_over()]:
            for follower in due:
                follower.go_on()

    def thread(self, target: Callable[[], object], **_: Any) -> Follower:
        """Return a follower where the program makes a thread."""
        return Follower(self, target)

    def event(self) -> SteppedEvent:
        """Return an event that is waited for on the clock."""
        return SteppedEvent(self)

    def queue(self) -> SteppedQueue:
        """Return a queue whose next item is waited for on the clock."""
        return SteppedQueue(self)


class SteppedEvent:
    """What `threading.Event` is to threads."""

    def __init__(self, clock: SteppedClock) -> None:
        self._clock = clock
        self._is_set = False

    def set(self) -> None:
        """Let it happen."""
        self._is_set = True

    def wait(self, limit_s: float) -> bool:
        """Wait for it, and return whether it has happened."""
        return self._clock.wait(limit_s, lambda: self._is_set)


class SteppedQueue:
    """What `queue.SimpleQueue` is to threads."""

    def __init__(self, clock: SteppedClock) -> None:
        self._clock = clock
        self._items: deque[Any] = deque()

    def put(self, item: Any) -> None:
        """Put an item at the end."""
        self._items.append(item)

    def empty(self) -> bool:
        """Return whether there is none."""
        return not self._items

    def get(self, timeout: float = inf) -> Any:
        """Return the next; `queue.Empty` where none comes in time."""
        if not self._items and not self._clock.wait(timeout, lambda: self._items):
            raise queue.Empty
        return self._items.popleft()
