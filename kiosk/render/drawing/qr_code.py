"""QR codes as vector paths (ISO/IEC 18004, by segno), with the quiet zone inside the box."""

from __future__ import annotations

import functools
from collections.abc import Iterator
from itertools import groupby

import segno

from kiosk.core.event.badge_boxes import QUIET_MODULES, Code

LEVEL = "m"
"""The level of error correction, about 15 %: a badge is read through a plastic film."""


def module_mm(code: Code, words: str) -> float:
    """Return the side of one module of a code with this content."""
    modules = len(_matrix(words, mask=0))
    return min(code.width_mm, code.height_mm) / (modules + 2 * QUIET_MODULES)


def least_module_mm(code: Code, words: str) -> float:
    """Return a bound below `module_mm`, at once: that of a content of the same length that cannot be packed densely."""
    modules = _modules(len(words.encode("utf-8")))
    return min(code.width_mm, code.height_mm) / (modules + 2 * QUIET_MODULES)


@functools.cache
def _modules(count_bytes: int) -> int:
    """Return the modules on a side of a code with so many bytes of any content."""
    return len(_matrix("a" * count_bytes, mask=0))


def code_path(code: Code, words: str) -> str:
    """Return the dark modules as PDF path operators in mm, with the box's upper left corner at (0, 0)."""
    matrix, side = _matrix(words), module_mm(code, words)
    left = (code.width_mm - side * len(matrix)) / 2
    top = (code.height_mm - side * len(matrix)) / 2
    bars = [
        f"{left + start * side:.4f} {top + row * side:.4f} {length * side:.4f} {side:.4f} re\n"
        for row, modules in enumerate(matrix)
        for start, length in _runs(modules)
    ]
    return "".join(bars)


def _runs(modules: bytearray) -> Iterator[tuple[int, int]]:
    """Yield the start and length of each run of dark modules in a row."""
    at = 0
    for dark, run in groupby(modules, bool):
        length = len(list(run))
        if dark:
            yield at, length
        at += length


def _matrix(words: str, mask: int | None = None) -> tuple[bytearray, ...]:
    """Return the modules; a given mask saves the search for the best one, and does not change the size."""
    return segno.make_qr(words, error=LEVEL, boost_error=False, mask=mask).matrix
