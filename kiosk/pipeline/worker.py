"""The vision worker: one thread that runs queued jobs, and otherwise looks at the newest live picture.

The frame loop never waits for it: it submits jobs and polls for results. Live pictures that arrive while the worker is
busy are skipped in favour of newer ones. A simulation that must not depend on threads calls `turn` itself.
"""

from __future__ import annotations

import queue
import threading
from collections.abc import Callable
from typing import Generic, TypeVar

from kiosk.core.base.ticket import Ticket
from kiosk.devices.base import LiveFrame

LookT = TypeVar("LookT")
Result = TypeVar("Result")
_IDLE_S = 0.004


class Worker(Generic[LookT, Result]):
    """A thread around two functions.

    Parameters
    ----------
    newest
        Returns the newest live picture; called by the worker only.
    look
        Turns a live picture into a result; returns None if it could not be used.
    """

    def __init__(self, newest: Callable[[], LiveFrame | None], look: Callable[[LiveFrame], LookT | None]) -> None:
        self._newest = newest
        self._default_look = self._look = look
        self._looking = threading.Event()
        self._session = 0
        self._closing = threading.Event()
        self._jobs: queue.SimpleQueue[tuple[Ticket, Callable[[], Result]]] = queue.SimpleQueue()
        self._results: queue.SimpleQueue[tuple[Ticket, Result | Exception]] = queue.SimpleQueue()
        self._seen: tuple[int, LookT] | None = None
        self._last_sequence = -1
        self._failure: Exception | None = None
        self._thread: threading.Thread | None = None

    def start(self) -> None:
        """Start the thread."""
        self._thread = threading.Thread(target=self._run, name="vision", daemon=True)
        self._thread.start()

    def look_on(self, on: bool, look: Callable[[LiveFrame], LookT | None] | None = None) -> None:
        """Start or stop looking at live pictures, and discard the last result; `look` replaces the default function."""
        self._looking.clear()
        self._session += 1
        self._look = look or self._default_look
        self._seen = None
        if on:
            self._looking.set()

    def submit(self, ticket: Ticket, job: Callable[[], Result]) -> None:
        """Queue a job; `poll` returns its result, or its error, with the same ticket."""
        self._jobs.put((ticket, job))

    def seen(self) -> tuple[int, LookT] | None:
        """Return the newest result of looking with the picture's sequence number, or None while there is none.

        Raises
        ------
        Exception
            Whatever error ended the thread.
        """
        if self._failure is not None:
            raise self._failure
        return self._seen if self._looking.is_set() else None

    def poll(self) -> list[tuple[Ticket, Result | Exception]]:
        """Return the tickets and results, or errors, of the jobs that have ended since the last call."""
        results = []
        while not self._results.empty():
            results.append(self._results.get())
        return results

    def turn(self) -> bool:
        """Run one job or look at one new picture, and return whether there was anything to do."""
        if not self._jobs.empty():
            ticket, job = self._jobs.get()
            try:
                self._results.put((ticket, job()))
            except Exception as error:
                self._results.put((ticket, error))
            return True
        frame = self._newest() if self._looking.is_set() else None
        if frame is None or frame.sequence == self._last_sequence:
            return False
        self._last_sequence = frame.sequence
        session, look = self._session, self._look
        result = look(frame)
        if result is not None and self._looking.is_set() and session == self._session:
            self._seen = (frame.sequence, result)
        return True

    def close(self) -> None:
        """End the thread after its current job."""
        self._closing.set()
        if self._thread is not None:
            self._thread.join(timeout=30.0)

    def _run(self) -> None:
        while not self._closing.is_set():
            try:
                if not self.turn():
                    self._closing.wait(_IDLE_S)
            except Exception as error:
                self._failure = error
                return
