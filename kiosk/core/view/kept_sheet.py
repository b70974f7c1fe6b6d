"""A printed sheet held in memory for a reprint, as the attendant sees it, and the limits on keeping it."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime

MOST_MINUTES = 60
"""The longest time for which a sheet may be kept. A spoilt sheet is noticed when it is cut, while the sitter is still
nearby (practice); anybody who returns later is photographed again. Regulation (EU) 2016/679, Article 5(1)(e): personal
data are kept no longer than is necessary for their purpose."""
MOST_SHEETS = 6
"""The largest number kept at the same time, as many as the attendant's screen lists; the oldest is dropped for a new
one. At 32 MiB each, more than a sheet takes, they need 192 MiB."""


@dataclass(frozen=True, slots=True)
class KeptSheet:
    """One sheet in memory: its key, the document's title, and when it was made, in the booth's time zone."""

    key: str
    title: str
    at: datetime

    @property
    def words(self) -> str:
        """Return the label by which the attendant recognises the sheet."""
        return f"{self.at:%H:%M}  {self.title}"
