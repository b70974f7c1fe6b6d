"""Many photos, one after the other by this process, and by others beside it, each with models of its own.

Whoever is free takes the next photo. What another process does not finish, such as one that is killed
for its memory, this one does again.
"""

from __future__ import annotations

import os
import signal
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager, suppress
from pathlib import Path
from typing import TYPE_CHECKING, Any, TypeVar

import cv2

from kiosk.vision.still import StillVision

if TYPE_CHECKING:
    from multiprocessing.connection import Connection
    from multiprocessing.sharedctypes import Synchronized

PROCESSES = 2
"""How many photos are looked at at once, one of them by this process: each takes 440 MB (`tests/bench/speed`), and a
counter's machine has other work."""
ALONE = 6
"""Up to so many photos this process does alone: to load another takes 0.5 s (`tests/bench/speed.md`)."""

Result = TypeVar("Result")
Job = Callable[[Path, StillVision], Result]
"""What is done with one photo; it and its results must be picklable."""


def each_photo(job: Job[Result], paths: Sequence[Path], processes: int = PROCESSES) -> Iterator[Result]:
    """Yield the result of a job for each photo, in their order; an interrupt lets the photos in hand end first."""
    with StillVision() as vision:
        if processes == 1 or len(paths) <= ALONE:
            for path in paths:
                yield job(path, vision)
            return
        with _helpers(job, paths, processes) as (begun, helpers), _share_of_cores(0, processes):
            yield from _shared(job, paths, vision, begun, helpers)


def _shared(
    job: Job[Result], paths: Sequence[Path], vision: StillVision, begun: Synchronized[int], helpers: list[Connection]
) -> Iterator[Result]:
    results: dict[int, Result] = {}
    for number in range(len(paths)):
        while number not in results:
            mine = _next(begun)
            if mine >= len(paths) and not helpers:
                mine = number
            if mine < len(paths):
                results[mine] = job(paths[mine], vision)
            results.update(_arrived(helpers, waits=mine >= len(paths)))
        yield results.pop(number)


def _arrived(helpers: list[Connection], *, waits: bool) -> Iterator[tuple[int, Any]]:
    """Yield what the helpers have sent, with its number, and forget those that have ended."""
    from multiprocessing.connection import wait

    ready = wait(helpers, None if waits else 0)
    for helper in [each for each in helpers if each in ready]:
        try:
            yield helper.recv()
        except (EOFError, OSError):
            helpers.remove(helper)


def _next(begun: Synchronized[int]) -> int:
    """Return the number of the first photo that nobody has begun, and begin it."""
    with begun.get_lock():
        begun.value += 1
        return begun.value - 1


@contextmanager
def _helpers(
    job: Job[Any], paths: Sequence[Path], processes: int
) -> Iterator[tuple[Synchronized[int], list[Connection]]]:
    """Yield how many photos are begun, and what helping processes send through."""
    from multiprocessing import get_context

    context = get_context("spawn")
    begun = context.Value("i", 0)
    pipes = [context.Pipe(duplex=False) for _ in range(processes - 1)]
    helpers = [
        context.Process(target=_help, args=(job, paths, begun, far, number, processes))
        for number, (_, far) in enumerate(pipes, 1)
    ]
    with _interrupts_held():
        for helper in helpers:
            helper.start()
    for _, far in pipes:
        far.close()
    try:
        yield begun, [near for near, _ in pipes]
    finally:
        begun.value = len(paths)
        for near, _ in pipes:
            near.close()
        for helper in helpers:
            helper.join()


def _help(
    job: Job[Any], paths: Sequence[Path], begun: Synchronized[int], far: Connection, number: int, processes: int
) -> None:
    """Do photos in a process of its own until none is left, or nobody waits for them any more."""
    with _share_of_cores(number, processes), StillVision() as vision, suppress(BrokenPipeError):
        while (number := _next(begun)) < len(paths):
            far.send((number, job(paths[number], vision)))


@contextmanager
def _interrupts_held() -> Iterator[None]:
    """Hold interrupts back, from this process for a moment, and for good from those that it starts meanwhile.

    A terminal sends Ctrl-C to all of them; this one alone answers it.
    """
    before = signal.pthread_sigmask(signal.SIG_BLOCK, {signal.SIGINT})
    try:
        yield
    finally:
        signal.pthread_sigmask(signal.SIG_SETMASK, before)


@contextmanager
def _share_of_cores(number: int, processes: int) -> Iterator[None]:
    """Give this process cores of its own, which its models then count: as many threads as cores, and no more."""
    threads, cores = cv2.getNumThreads(), os.sched_getaffinity(0)
    own = sorted(cores)[number::processes] or cores
    cv2.setNumThreads(len(own))
    os.sched_setaffinity(0, own)
    try:
        yield
    finally:
        os.sched_setaffinity(0, cores)
        cv2.setNumThreads(threads)
