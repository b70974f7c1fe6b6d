"""Who keeps the booth out of order; it opens again only when nobody does any more."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Literal

from kiosk.core.session.events import Failed, Mended
from kiosk.errors import KioskError

Culprit = Literal["camera", "printer", "machine", "desk"]


class Blame:
    """Those that keep the booth out of order, each with trouble of its own."""

    def __init__(self) -> None:
        self._culprits: set[Culprit] = set()

    def __contains__(self, culprit: Culprit) -> bool:
        return culprit in self._culprits

    def put(self, culprit: Culprit) -> None:
        """Blame one more."""
        self._culprits.add(culprit)

    def drop(self, culprit: Culprit) -> None:
        """Blame one no more, and leave the booth as it is: what ails it now is yet to be said."""
        self._culprits.discard(culprit)

    def lift(self, culprit: Culprit) -> Iterator[Mended]:
        """Blame one no more, and open the booth again, unless another is still to blame."""
        if culprit in self._culprits:
            self._culprits.remove(culprit)
            if not self._culprits:
                yield Mended()


def failure(error: KioskError) -> Failed:
    """Return what an error tells the session."""
    return Failed(str(error), error.advice, error.key)
