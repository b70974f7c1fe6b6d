"""A manual clock that several threads keep: time goes on only when every one of them waits.

The frame loop's thread moves the clock. A thread that follows it works while no time passes, until it waits for a time
or for something to happen; so a print queue and a camera's program run as in life, in any number of manual hours, and
a run with the same seed is the same run.
"""

from __future__ import annotations

import threading
from collections.abc import Callable
from dataclasses import dataclass, field
from datetime import date

from tests.support.manual_clock import ManualClock

HANG_S = 120.0
"""After so many real seconds of work without a wait a thread hangs, also on a busy machine."""


@dataclass
class _Follower:
    """A thread that follows; `is_over` says when its wait is over, None while it works."""

    is_over: Callable[[], object] | None = None
    is_killed: bool = False
    gate: threading.Semaphore = field(default_factory=lambda: threading.Semaphore(0))


class SteppedClock(ManualClock):
    """A manual clock with threads that follow it; `sleep` from any of those waits, from the leading one moves time."""

    def __init__(self, start_s: float = 0.0, day: date = date(2026, 1, 1)) -> None:
        super().__init__(start_s, day)
        self._leader = threading.get_ident()
        self._followers: dict[int, _Follower] = {}
        self._rest = threading.Condition()

    def sleep(self, seconds: float) -> None:
        """Move the clock on, or wait until it was moved on."""
        if threading.get_ident() == self._leader:
            self._now_s += seconds
            self.settle()
        else:
            self.wait(seconds)

    def wait(self, seconds: float, until: Callable[[], object] = lambda: False) -> bool:
        """Wait in a thread that follows, until something is so or time is up; return whether it is so.

        Raises
        ------
        SystemExit
            The thread was killed.
        """
        me, end_s = self._followers[threading.get_ident()], self._now_s + seconds
        if me.is_killed:
            raise SystemExit
        if until() or seconds <= 0.0:
            return bool(until())
        with self._rest:
            me.is_over = lambda: self._now_s >= end_s or until()
            self._rest.notify()
        me.gate.acquire()
        if me.is_killed:
            raise SystemExit
        return bool(until())

    def follow(self, work: Callable[[], object]) -> Callable[[], None]:
        """Return the work of a thread that follows the clock from its beginning to its end."""

        def followed() -> None:
            me = threading.get_ident()
            with self._rest:
                self._followers[me] = _Follower()
            try:
                work()
            finally:
                with self._rest:
                    del self._followers[me]
                    self._rest.notify()

        return followed

    def begin(self, thread: threading.Thread) -> None:
        """Start a thread whose work `follow` has returned, unless it was started, and let it work until it waits."""
        if thread.ident is None:
            thread.start()
        with self._rest:
            self._rest.wait_for(lambda: not thread.is_alive() or thread.ident in self._followers, HANG_S)
        self.settle()

    def kill(self, thread: threading.Thread) -> None:
        """End a thread at the place where it waits, as the kernel ends a process."""
        follower = self._followers.get(thread.ident or 0)
        if follower is not None:
            follower.is_killed = True
            follower.gate.release()
        thread.join(HANG_S)
        assert not thread.is_alive(), "a killed thread lives on"

    def is_killed(self) -> bool:
        """Return whether the calling thread was killed and is on its way out."""
        return self._followers[threading.get_ident()].is_killed

    def settle(self) -> None:
        """Let every thread that has something to do work until it waits again."""
        with self._rest:
            while self._released():
                rested = self._rest.wait_for(lambda: all(each.is_over for each in self._followers.values()), HANG_S)
                assert rested, "a thread works without end"

    def _released(self) -> bool:
        """Let those work whose wait is over, and return whether anyone works."""
        for follower in self._followers.values():
            if follower.is_over is not None and follower.is_over():
                follower.is_over = None
                follower.gate.release()
        return not all(each.is_over for each in self._followers.values())
