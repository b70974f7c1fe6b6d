"""Mediapipe's graphs, made once, kept, and silent.

Everything runs from models inside the wheel of mediapipe 0.10.21. Later wheels carry no models for this interface, and
some look up hosts at run time, which a machine that handles faces must never do.
"""

from __future__ import annotations

import importlib
import importlib.util
import os
import sys
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from threading import Lock
from types import ModuleType
from typing import Any

import numpy as np

from kiosk.vision.pictures.arrays import Rgb

BLANK_PX = 256
"""Side of the black picture that a graph is made with."""

_MAKING = Lock()
"""File descriptor 2 is the process's own: two threads that silence it at once would restore each other's void."""

_PACKAGES = ("mediapipe", "mediapipe.python.solutions")
"""Packages whose own `__init__` imports every solution, the newer tasks, and matplotlib for drawing: 0.5 s of 0.6, and
nothing of it is used here."""


def _solution(name: str) -> ModuleType:
    """Return one of mediapipe's solutions, without what its packages import beside it."""
    for package in _PACKAGES:
        spec = None if package in sys.modules else importlib.util.find_spec(package)
        if spec is not None:
            sys.modules[package] = importlib.util.module_from_spec(spec)
    return importlib.import_module(f"{_PACKAGES[-1]}.{name}")


@contextmanager
def silenced() -> Iterator[None]:
    """Send file descriptor 2 to the void: the C++ side writes to it whatever the logging settings say."""
    with suppress(OSError, ValueError):
        sys.stderr.flush()
    try:
        kept = os.dup(2)
    except OSError:
        yield
        return
    void = os.open(os.devnull, os.O_WRONLY)
    try:
        os.dup2(void, 2)
        yield
    finally:
        os.dup2(kept, 2)
        os.close(void)
        os.close(kept)


class Graph:
    """One mediapipe graph, made on first use and kept: making and closing graphs leaks memory."""

    def __init__(self, module: str, kind: str, **options: object) -> None:
        self._module = module
        self._kind = kind
        self._options = options
        self._graph: Any = None

    def warm_up(self) -> None:
        """Make the graph before there is a picture of anybody: what is beside an import may be kept for good."""
        self.process(np.zeros((BLANK_PX, BLANK_PX, 3), np.uint8))

    def process(self, rgb: Rgb) -> Any:
        """Run the graph on one picture, HxWx3 uint8 sRGB."""
        if self._graph is not None:
            return self._graph.process(rgb)
        with _MAKING, silenced():
            self._graph = getattr(_solution(self._module), self._kind)(**self._options)
            return self._graph.process(rgb)

    def close(self) -> None:
        """Release the graph; it is made again on the next use."""
        if self._graph is not None:
            self._graph.close()
            self._graph = None
