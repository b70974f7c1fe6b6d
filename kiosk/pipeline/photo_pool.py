"""Many photos, one after the other by this process, and by others beside it, each with models of its own."""

from __future__ import annotations

import signal
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from pathlib import Path
from typing import TYPE_CHECKING, Any, TypeVar

import cv2

from kiosk.vision.still import StillVision

if TYPE_CHECKING:
    from concurrent.futures import Future, ProcessPoolExecutor

PROCESSES = 2
"""How many photos are looked at at once, one of them by this process: each takes 440 MB (`tests/bench/speed`), and a
counter's machine has other work."""
ALONE = 6
"""So many photos this process has done by itself before another one is loaded, which takes 0.7 s (measured)."""

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
        with _helpers(job, processes - 1) as pool, _one_core_each():
            yield from _shared(job, paths, vision, pool)


def _shared(
    job: Job[Result], paths: Sequence[Path], vision: StillVision, pool: ProcessPoolExecutor
) -> Iterator[Result]:
    """Yield the results; this process always takes the first photo that no other has begun."""
    count = len(paths)
    with _interrupts_held():
        theirs = {number: pool.submit(_do, paths[number]) for number in (*range(ALONE, count), *range(ALONE))}
    ours: dict[int, Result] = {}
    untaken = iter(range(count))
    for number in range(count):
        while number not in ours and not theirs[number].done():
            mine = next((each for each in untaken if each in theirs and theirs[each].cancel()), None)
            if mine is None:
                break
            ours[mine] = job(paths[mine], vision)
        future: Future[Result] = theirs.pop(number)
        yield ours.pop(number) if number in ours else future.result()


@contextmanager
def _helpers(job: Job[Result], count: int) -> Iterator[ProcessPoolExecutor]:
    from concurrent.futures import ProcessPoolExecutor
    from multiprocessing import get_context

    pool = ProcessPoolExecutor(count, get_context("spawn"), initializer=_prepare, initargs=(job,))
    try:
        yield pool
    finally:
        pool.shutdown(cancel_futures=True)


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
def _one_core_each() -> Iterator[None]:
    """Let OpenCV leave the other processes their core."""
    threads = cv2.getNumThreads()
    cv2.setNumThreads(1)
    try:
        yield
    finally:
        cv2.setNumThreads(threads)


_prepared: list[tuple[Job[Any], StillVision]] = []
"""In a helping process: the job, and the models that it keeps."""


def _prepare(job: Job[Any]) -> None:
    """Set a helping process up."""
    cv2.setNumThreads(1)
    _prepared.append((job, StillVision()))


def _do(path: Path) -> Any:
    job, vision = _prepared[0]
    return job(path, vision)
