"""A process that loses its power while `write_whole` brings a file to the disk."""

from __future__ import annotations

import multiprocessing
import os
import signal
from collections.abc import Callable


def cut_off(act: Callable[..., object], *arguments: object) -> None:
    """Do something in a process of its own that is killed at the first file it brings to the disk."""
    process = multiprocessing.get_context("spawn").Process(target=_until_the_disk, args=(act, *arguments))
    process.start()
    process.join()
    assert process.exitcode == -signal.SIGKILL


def _until_the_disk(act: Callable[..., object], *arguments: object) -> None:
    os.fsync = lambda descriptor: os.kill(os.getpid(), signal.SIGKILL)
    act(*arguments)
