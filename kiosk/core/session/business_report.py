"""What a booth did in a day, a month or a year, as values for a report: counts and minutes, nobody's own."""

from __future__ import annotations

import calendar
import re
from dataclasses import dataclass
from datetime import date
from statistics import median

from kiosk.core.session.facts import SheetEnd

ENDINGS = ("printed", "abandoned", "gave_up", "fault", "interrupted", "open")
"""How sessions end, in the order of a report; `open` is the one with a sitter in it now."""


@dataclass(frozen=True, slots=True)
class Period:
    """A day, a month or a year of the calendar, as ISO 8601 writes it."""

    text: str
    first: date
    last: date

    @classmethod
    def parse(cls, text: str) -> Period:
        """Return the period that `2026`, `2026-11` or `2026-11-25` names.

        Raises
        ------
        ValueError
            It is none of them.
        """
        found = re.fullmatch(r"\d{4}(?:-\d\d(?:-\d\d)?)?", text, re.ASCII)
        try:
            first = date.fromisoformat(f"{text}-01-01"[: len("2026-11-25")]) if found else None
        except ValueError:
            first = None
        if first is None:
            raise ValueError(f"{text!r} is no day (2026-11-25), month (2026-11) or year (2026)")
        last_month = first.month if len(text) > len("2026") else 12
        last_day = first.day if len(text) == len("2026-11-25") else calendar.monthrange(first.year, last_month)[1]
        return cls(text, first, date(first.year, last_month, last_day))


@dataclass(frozen=True, slots=True)
class Day:
    """One day: sessions by ending, shots, sheets by how they ended, photos on printed sheets, and the rest.

    `reprints` are those of the printed sheets that an attendant had printed again, `not_certain` those with something
    doubtful that the sitter accepted; `files` are photos that were taken away as files.
    """

    day: date
    endings: dict[str, int]
    shots: int
    sheets: dict[SheetEnd, int]
    photos: int
    minutes: tuple[float, ...]
    overrides: int
    faults: int
    reprints: int = 0
    not_certain: int = 0
    files: int = 0

    @property
    def sessions(self) -> int:
        """How many sitters came."""
        return sum(self.endings.values())


@dataclass(frozen=True, slots=True)
class Requirement:
    """How often one requirement failed or was referred to a person, of the shots that were judged by it."""

    name: str
    judged: int
    failed: int
    referred: int


@dataclass(frozen=True, slots=True)
class Takings:
    """The money of the bills that began in a period, in minor units of a currency (ISO 4217).

    `spent` is the price of the sheets that came out; `refunded` went back by the unit, `settled` by the attendant.
    """

    currency: str
    paid: int
    refunded: int
    settled: int
    spent: int

    @property
    def owed(self) -> int:
        """What is still to be paid out."""
        return self.paid - self.refunded - self.settled - self.spent


@dataclass(frozen=True, slots=True)
class BusinessReport:
    """A period's days on which something happened, and what is counted over all of them.

    Attributes
    ----------
    documents
        Sessions by document id, the most first; "" where none was chosen.
    requirements
        Those that failed most first, by the share of the shots judged.
    reasons, acts
        Overrides by reason, and what else the attendant did.
    faults
        By the key of the error: how often, and minutes until mended; None while it is not.
    takings
        The money, by currency; none where the booth took none.
    kept_aside
        Names of older ledgers beside this one, whose days are not counted.
    """

    period: Period
    days: tuple[Day, ...]
    documents: dict[str, int]
    requirements: tuple[Requirement, ...]
    reasons: dict[str, int]
    acts: dict[str, int]
    faults: dict[str, tuple[int, float]]
    takings: tuple[Takings, ...] = ()
    kept_aside: tuple[str, ...] = ()

    @property
    def endings(self) -> dict[str, int]:
        """Sessions by how they ended."""
        return {ending: sum(day.endings.get(ending, 0) for day in self.days) for ending in ENDINGS}

    @property
    def sessions(self) -> int:
        """How many sitters came."""
        return sum(day.sessions for day in self.days)

    @property
    def minutes(self) -> list[float]:
        """Minutes of each session that ended in a print, in no order."""
        return [minutes for day in self.days for minutes in day.minutes]

    @property
    def median_minutes(self) -> float | None:
        """Half of the sitters who printed took no longer."""
        return median(self.minutes) if self.minutes else None

    def sheets(self, end: SheetEnd) -> int:
        """Return how many sheets ended so."""
        return sum(day.sheets.get(end, 0) for day in self.days)
