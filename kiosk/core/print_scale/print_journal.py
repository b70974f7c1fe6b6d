"""Where a sheet stands in the journal of print jobs."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

JobEnd = Literal["sending", "sent", "printed", "not_printed", "unknown"]
"""`sending` before the spooler hears of it, `sent` once its document may be there, then one of three ends."""


@dataclass(frozen=True, slots=True)
class Entry:
    """One sheet in the journal; `number` is the spooler's, 0 until it is known. Nothing tells of the sitter."""

    key: str
    state: JobEnd
    printer: str
    number: int = 0
