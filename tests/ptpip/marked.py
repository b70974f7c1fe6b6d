"""A body before which sitters come and go: its pictures say whose they are, and it knows which were ordered."""

from __future__ import annotations

import time
from contextlib import AbstractContextManager

from tests.support.exposures import Exposures
from tests.support.marked_pictures import LIVE_PX, STILL_PX, Mark, picture


class MarkedPictures:
    """Pictures of whoever sits there.

    Attributes
    ----------
    exposures
        Every still that it has taken.
    """

    def __init__(self) -> None:
        self.exposures = Exposures(time.monotonic)
        self._sitter = 0
        self.sit(0)

    def sit(self, sitter: int) -> None:
        """Let somebody sit down, in the place of who was there."""
        self._live = picture(Mark(sitter), *LIVE_PX)
        self._sitter = sitter

    def live(self) -> bytes:
        """Return the live picture."""
        return self._live

    def ordered(self) -> bytes:
        """Take a still that was ordered."""
        return self._still()

    def pressed(self) -> bytes:
        """Take a still by the button."""
        return self._still()

    def shot(self) -> AbstractContextManager[object]:
        """Have a still ordered meanwhile."""
        return self.exposures.shot()

    def _still(self) -> bytes:
        sitter = self._sitter
        return picture(Mark(sitter, self.exposures.take(sitter)), *STILL_PX)
