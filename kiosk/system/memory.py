"""Memory that holds or held a picture.

What is freed goes back to the kernel, which hands every page out zeroed; what is held is nobody else's to read.
"""

from __future__ import annotations

import ctypes
import functools
from collections.abc import Callable

_PR_SET_DUMPABLE = 4
"""prctl(2), linux/prctl.h."""


@functools.cache
def _trim() -> Callable[[int], int]:
    """Return glibc's `malloc_trim(3)`, or nothing to do where the C library is another."""
    trim: Callable[[int], int] = getattr(ctypes.CDLL(None), "malloc_trim", lambda _: 0)
    return trim


def give_back() -> None:
    """Return all whole pages that are free to the kernel: a freed picture would stay legible until it is overwritten.

    Takes milliseconds, in which other threads run.
    """
    _trim()(0)


def keep_to_itself() -> None:
    """Keep this process's memory from other programs of the same user, and from core files (prctl(2)).

    Only an administrator can then read it or attach to it. A program that this one starts must do the same for itself.
    """
    if hasattr(libc := ctypes.CDLL(None), "prctl"):
        libc.prctl(_PR_SET_DUMPABLE, 0, 0, 0, 0)
