"""Memory that held a picture: what is freed goes back to the kernel, which hands every page out zeroed."""

from __future__ import annotations

import ctypes
import functools
from collections.abc import Callable


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
