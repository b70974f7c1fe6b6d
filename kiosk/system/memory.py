"""Memory that holds or held a picture.

What is freed is overwritten, and what is held is nobody else's to read.
"""

from __future__ import annotations

import ctypes
import functools
from collections.abc import Callable

_PR_SET_DUMPABLE = 4
"""prctl(2), linux/prctl.h."""
_M_PERTURB = -6
"""mallopt(3), malloc.h."""
_ONES = 0xFF
"""glibc fills freed memory with this byte, and what it hands out with the complement, which is then zero."""


@functools.cache
def _trim() -> Callable[[int], int]:
    """Return glibc's `malloc_trim(3)`, or nothing to do where the C library is another."""
    trim: Callable[[int], int] = getattr(ctypes.CDLL(None), "malloc_trim", lambda _: 0)
    return trim


def give_back() -> None:
    """Return all whole pages that are free to the kernel; takes milliseconds, in which other threads run."""
    _trim()(0)


def keep_to_itself() -> None:
    """Keep this process's memory from other programs of the same user, and leave nothing legible in what it frees.

    Only an administrator can then read it or attach to it, and no core file is written (prctl(2)). A picture is gone as
    soon as nothing refers to it (mallopt(3), where the C library is glibc), but for pieces of up to 1 kB that are freed
    one by one. A program that this one starts must do the same for itself.
    """
    libc = ctypes.CDLL(None)
    if hasattr(libc, "prctl"):
        libc.prctl(_PR_SET_DUMPABLE, 0, 0, 0, 0)
    if hasattr(libc, "mallopt"):
        libc.mallopt(_M_PERTURB, _ONES)
