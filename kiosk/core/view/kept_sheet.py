"""A sheet that may be printed again: what the attendant knows of it, and for how long one may be kept at most."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime

MOST_MINUTES = 60
"""Longest time for which a sheet may be kept. A spoilt sheet shows as it is cut, while its sitter is in the shop or
comes back at once (practice); whoever comes back later sits down again. Regulation (EU) 2016/679, Article 5(1)(e):
personal data are kept no longer than is necessary for their purpose."""
MOST_SHEETS = 6
"""How many are kept at once, as many as the attendant's screen lists; the oldest gives way. At 32 MiB, more than a
sheet takes, they are 192 MiB."""


@dataclass(frozen=True, slots=True)
class KeptSheet:
    """One sheet in memory: its key, what it is for, and when it was made, in the zone of the booth."""

    key: str
    title: str
    at: datetime

    @property
    def words(self) -> str:
        """Return what the attendant tells it by."""
        return f"{self.at:%H:%M}  {self.title}"
