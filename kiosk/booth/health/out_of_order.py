"""Which components keep the booth out of order; it opens again only when none does."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Literal

from kiosk.core.session.events import Failed, Mended
from kiosk.errors import KioskError

Culprit = Literal["camera", "printer", "payment", "machine", "desk", "mains", "light"]


class OutOfOrder:
    """The components that keep the booth out of order."""

    def __init__(self) -> None:
        self._culprits: set[Culprit] = set()

    def __contains__(self, culprit: Culprit) -> bool:
        return culprit in self._culprits

    def add(self, culprit: Culprit) -> None:
        """Keep the booth out of order because of this component as well."""
        self._culprits.add(culprit)

    def clear(self, culprit: Culprit) -> Iterator[Mended]:
        """Clear one culprit, and reopen the booth unless another one remains."""
        if culprit in self._culprits:
            self._culprits.remove(culprit)
            if not self._culprits:
                yield Mended()


def failure(error: KioskError) -> Failed:
    """Return the event that reports an error to the session."""
    return Failed(str(error), error.advice, error.key)
