"""The vision worker: one thread that looks at the newest live picture, or does a job when there is one.

The frame loop never waits for it: it hands over jobs and polls for results. A live picture that came while the worker
was busy is not looked at; the next one is newer. A simulation that must not depend on threads calls `turn` itself.
"""

from __future__ import annotations

import queue
import threading
from collections.abc import Callable
from typing import Generic, TypeVar

from kiosk.devices.base import LiveFrame

LookT = TypeVar("LookT")
Result = TypeVar("Result")
_REST_S = 0.004


class Worker(Generic[LookT, Result]):
    """A thread around two functions.

    Parameters
    ----------
    newest
        Returns the newest live picture; called by the worker only.
    look
        Turns a live picture into what was seen; None where it could not be used.
    """

    def __init__(self, newest: Callable[[], LiveFrame | None], look: Callable[[LiveFrame], LookT | None]) -> None:
        self._newest = newest
        self._look = self._way = look
        self._looking = threading.Event()
        self._session = 0
        self._closing = threading.Event()
        self._jobs: queue.SimpleQueue[tuple[float, Callable[[], Result]]] = queue.SimpleQueue()
        self._results: queue.SimpleQueue[tuple[float, Result | Exception]] = queue.SimpleQueue()
        self._seen: tuple[int, LookT] | None = None
        self._last_sequence = -1
        self._failure: Exception | None = None
        self._thread: threading.Thread | None = None

    def start(self) -> None:
        """Start the thread."""
        self._thread = threading.Thread(target=self._run, name="vision", daemon=True)
        self._thread.start()

    def look_on(self, on: bool, look: Callable[[LiveFrame], LookT | None] | None = None) -> None:
        """Begin or stop looking at live pictures, in another way where `look` is given; what was seen is forgotten."""
        self._looking.clear()
        self._session += 1
        self._way = look or self._look
        self._seen = None
        if on:
            self._looking.set()

    def submit(self, ticket: float, job: Callable[[], Result]) -> None:
        """Do `job` next; its result, or its error, comes from `poll` with the same ticket."""
        self._jobs.put((ticket, job))

    def seen(self) -> tuple[int, LookT] | None:
        """Return the newest looked-at picture with its sequence number; raise what ended the looking."""
        if self._failure is not None:
            raise self._failure
        return self._seen if self._looking.is_set() else None

    def poll(self) -> list[tuple[float, Result | Exception]]:
        """Return the tickets and results of jobs that have ended since the last call."""
        results = []
        while not self._results.empty():
            results.append(self._results.get())
        return results

    def turn(self) -> bool:
        """Do one job, or look at one new picture; tell whether there was anything to do."""
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
        session, way = self._session, self._way
        looked = way(frame)
        if looked is not None and self._looking.is_set() and session == self._session:
            self._seen = (frame.sequence, looked)
        return True

    def close(self) -> None:
        """End the thread after the job in hand."""
        self._closing.set()
        if self._thread is not None:
            self._thread.join(timeout=30.0)

    def _run(self) -> None:
        while not self._closing.is_set():
            try:
                if not self.turn():
                    self._closing.wait(_REST_S)
            except Exception as error:
                self._failure = error
                return
