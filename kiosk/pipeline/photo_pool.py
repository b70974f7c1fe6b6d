"""Many photos, one after the other or in several processes, each with models of its own."""

from __future__ import annotations

import multiprocessing
import signal
from collections.abc import Callable, Iterator, Sequence
from concurrent.futures import ProcessPoolExecutor
from pathlib import Path
from typing import Any, TypeVar

from kiosk.vision.still import StillVision

PROCESSES = 2
"""How many photos are looked at at once: a process takes 440 MB (`tests/bench/speed`), and a counter's machine has
other work."""
FEW = 4
"""Fewer photos are done sooner by this process alone: each other one takes a second to load (measured)."""

Result = TypeVar("Result")
Job = Callable[[Path, StillVision], Result]
"""What is done with one photo; it and its results must be picklable."""


def each_photo(job: Job[Result], paths: Sequence[Path], processes: int = PROCESSES) -> Iterator[Result]:
    """Yield the result of a job for each photo, in their order; an interrupt lets the photos in hand end first."""
    if processes == 1 or len(paths) < FEW:
        with StillVision() as vision:
            for path in paths:
                yield job(path, vision)
        return
    context = multiprocessing.get_context("spawn")
    with ProcessPoolExecutor(processes, context, initializer=_prepare, initargs=(job,)) as pool:
        yield from pool.map(_do, paths)


_prepared: list[tuple[Job[Any], StillVision]] = []
"""In a process of the pool: the job, and the models that it keeps."""


def _prepare(job: Job[Any]) -> None:
    """Set a process of the pool up; the parent alone answers an interrupt, and OpenCV leaves the others their core."""
    import cv2

    signal.signal(signal.SIGINT, signal.SIG_IGN)
    cv2.setNumThreads(1)
    _prepared.append((job, StillVision()))


def _do(path: Path) -> Any:
    job, vision = _prepared[0]
    return job(path, vision)
