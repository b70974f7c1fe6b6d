"""The ticket of a piece of work: what was asked for under it, and nothing else, comes back with it."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Literal

Holder = Literal["sitter", "attendant", "nobody"]


@dataclass(frozen=True, slots=True)
class Ticket:
    """A still, a measurement or a sheet that somebody waits for.

    Attributes
    ----------
    number
        Rises by one with each ticket of its holder, from sitter to sitter, as long as the program runs; 0 is never
        given out.
    holder
        Who waits: the sitter's session, the attendant's desk, or nobody.
    """

    number: int = 0
    holder: Holder = "sitter"

    @property
    def following(self) -> Ticket:
        """The holder's next one."""
        return replace(self, number=self.number + 1)
