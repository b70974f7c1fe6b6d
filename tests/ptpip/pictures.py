"""What a camera body shows and takes."""

from __future__ import annotations

import contextlib
import itertools
from collections.abc import Sequence
from contextlib import AbstractContextManager
from pathlib import Path
from typing import Protocol


class Pictures(Protocol):
    """Where a body's pictures come from; all are JPEG files."""

    def live(self) -> bytes:
        """Return the next live picture."""

    def ordered(self) -> bytes:
        """Return the still of an order."""

    def pressed(self) -> bytes:
        """Return what the body's own button takes."""

    def shot(self) -> AbstractContextManager[object]:
        """Have a still ordered meanwhile."""


class FilePictures:
    """Files, each kind handed out in turn; where nobody presses the button, there are none of it."""

    def __init__(self, live: Sequence[Path], stills: Sequence[Path], button: Sequence[Path] = ()) -> None:
        self._live, self._stills, self._button = (
            itertools.cycle([path.read_bytes() for path in paths]) for paths in (live, stills, button)
        )

    def live(self) -> bytes:
        """Return the next live picture."""
        return next(self._live)

    def ordered(self) -> bytes:
        """Return the next still."""
        return next(self._stills)

    def pressed(self) -> bytes:
        """Return the next of the button."""
        return next(self._button)

    def shot(self) -> AbstractContextManager[object]:
        """Take no notice."""
        return contextlib.nullcontext()
