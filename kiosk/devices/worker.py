"""The vision worker: one thread that looks at the newest live picture, or does a job when there is one.

The frame loop never waits for it: it hands over jobs and polls for results. A live picture that came while the worker
was busy is not looked at; the next one is newer.
"""

from __future__ import annotations

import queue
import threading
from collections.abc import Callable
from typing import Generic, TypeVar

from kiosk.devices.base import LiveFrame

Look = TypeVar("Look")
Result = TypeVar("Result")
_REST_S = 0.004


class Worker(Generic[Look, Result]):
    """A thread around two functions.

    Parameters
    ----------
    newest
        Returns the newest live picture; called from the worker's thread only.
    look
        Turns a live picture into what was seen.
    """

    def __init__(self, newest: Callable[[], LiveFrame | None], look: Callable[[LiveFrame], Look]) -> None:
        self._newest = newest
        self._look = look
        self._looking = threading.Event()
        self._closing = threading.Event()
        self._jobs: queue.SimpleQueue[Callable[[], Result]] = queue.SimpleQueue()
        self._done: queue.SimpleQueue[Result | BaseException] = queue.SimpleQueue()
        self._seen: tuple[int, Look] | None = None
        self._failure: BaseException | None = None
        self._thread = threading.Thread(target=self._run, name="vision", daemon=True)
        self._thread.start()

    def look_on(self, on: bool) -> None:
        """Begin or stop looking at live pictures; what was seen before is forgotten."""
        self._seen = None
        (self._looking.set if on else self._looking.clear)()

    def submit(self, job: Callable[[], Result]) -> None:
        """Do `job` next; its result, or its error, comes from `poll`."""
        self._jobs.put(job)

    def seen(self) -> tuple[int, Look] | None:
        """Return the newest looked-at picture with its sequence number.

        Raises
        ------
        BaseException
            Whatever ended the worker's look.
        """
        if self._failure is not None:
            raise self._failure
        return self._seen if self._looking.is_set() else None

    def poll(self) -> list[Result | BaseException]:
        """Return the results of jobs that have ended since the last call."""
        results = []
        while not self._done.empty():
            results.append(self._done.get())
        return results

    def close(self) -> None:
        """End the thread after the job in hand."""
        self._closing.set()
        self._thread.join(timeout=30.0)

    def _run(self) -> None:
        while not self._closing.is_set():
            if not self._jobs.empty():
                self._do(self._jobs.get())
            elif not (self._looking.is_set() and self._look_once()):
                self._closing.wait(_REST_S)

    def _do(self, job: Callable[[], Result]) -> None:
        try:
            self._done.put(job())
        except Exception as error:
            self._done.put(error)

    def _look_once(self) -> bool:
        """Look at the newest picture; tell whether there was a new one."""
        frame, seen = self._newest(), self._seen
        if frame is None or (seen is not None and seen[0] == frame.sequence):
            return False
        try:
            looked = self._look(frame)
        except Exception as error:
            self._failure = error
            self._looking.clear()
            return False
        if self._looking.is_set():
            self._seen = (frame.sequence, looked)
        return True
