"""What several booths did in a period: all together, each beside the others, and what changes from week to week.

A share that differs is reported only if it does so by more than chance and by enough to matter, because some of so many
booths and requirements always differ a little.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from datetime import date, datetime
from decimal import Decimal

from kiosk.core.session.business_report import BusinessReport, Requirement

SURE = 4.0
"""Standard errors between two shares that are reported: with 100 booths and 25 requirements, one in fifteen reports has
a difference that is none (normal distribution, one-sided)."""
MATTERS = 0.05
"""The least difference of two shares that is reported: one shot in twenty (this project's own choice)."""
WEEKS = 8
"""How many weeks are compared, the last one with those before it."""


@dataclass(frozen=True, slots=True)
class Refill:
    """Something that runs out at a booth: sheets, or a ribbon in percent."""

    booth: str
    what: str
    left: int
    few: int
    unit: str


@dataclass(frozen=True, slots=True)
class BoothFigures:
    """One booth in the period.

    Attributes
    ----------
    booth, region, heard_at
        Its name, its region, and when the office last heard of it.
    sitters, printed
        Sessions that ended, and those of them that ended in a print.
    shots, sheets
        How many of each; sheets that were printed.
    median_minutes
        Of the sessions that ended in a print; None without one.
    faults, fault_minutes
        How often something failed, and how long until it was mended.
    requirements
        By name.
    takings
        The money that a payment unit took and kept; without one, the printed sheets at the prices known to whoever
        asks. None where there is neither.
    """

    booth: str
    region: str
    heard_at: datetime
    sitters: int
    printed: int
    shots: int
    sheets: int
    median_minutes: float | None
    faults: int
    fault_minutes: float
    requirements: Mapping[str, Requirement]
    takings: Decimal | None = None


@dataclass(frozen=True, slots=True)
class Week:
    """Seven days of one requirement at one booth: the shots judged by it, and those that failed or were referred."""

    first: date
    judged: int
    unfit: int

    @property
    def share(self) -> float:
        """The share of shots that did not pass."""
        return self.unfit / self.judged if self.judged else 0.0


@dataclass(frozen=True, slots=True)
class Difference:
    """A requirement that more shots miss at one booth than at all others, or in its last week than before."""

    booth: str
    requirement: str
    share: float
    usual: float


@dataclass(frozen=True, slots=True)
class Drift(Difference):
    """A difference between a booth's last week and those before it, with all weeks, the oldest first."""

    weeks: tuple[Week, ...]


@dataclass(frozen=True, slots=True)
class FleetReport:
    """A period of several booths.

    Attributes
    ----------
    who
        Which booths: all, a region, or one.
    total
        All of them together.
    booths
        By name.
    weeks
        By booth and requirement, up to `WEEKS`, the oldest first; of those that have shots in the last one.
    takings
        By day, in `currency`; empty where no money was taken and no price is known.
    refills
        What is low now, the least first.
    asked_at
        When the office was asked.
    """

    who: str
    total: BusinessReport
    booths: tuple[BoothFigures, ...]
    weeks: Mapping[tuple[str, str], tuple[Week, ...]]
    takings: Mapping[date, Decimal]
    currency: str
    refills: tuple[Refill, ...]
    asked_at: datetime

    @property
    def outliers(self) -> list[Difference]:
        """Which requirement fails where: at one booth more than at all others, the largest difference first."""
        return sorted(self._outliers(), key=_size)

    @property
    def drifts(self) -> list[Drift]:
        """Which requirement fails more than it did: a lamp that ages, a camera that was moved; the largest first."""
        return sorted(self._drifts(), key=_size)

    def _outliers(self) -> Iterator[Difference]:
        all_of = {one.name: one for one in self.total.requirements}
        for booth in self.booths:
            for name, here in booth.requirements.items():
                whole = all_of[name]
                bad, others_bad = here.failed + here.referred, whole.failed + whole.referred
                rest, rest_judged = others_bad - bad, whole.judged - here.judged
                if _is_more(bad, here.judged, rest, rest_judged):
                    yield Difference(booth.booth, name, bad / here.judged, rest / rest_judged)

    def _drifts(self) -> Iterator[Drift]:
        for (booth, requirement), weeks in self.weeks.items():
            *before, last = weeks
            unfit, judged = sum(week.unfit for week in before), sum(week.judged for week in before)
            if _is_more(last.unfit, last.judged, unfit, judged):
                yield Drift(booth, requirement, last.share, unfit / judged, weeks)


def _size(difference: Difference) -> tuple[float, str, str]:
    return difference.usual - difference.share, difference.booth, difference.requirement


def _is_more(here: int, of_here: int, there: int, of_there: int) -> bool:
    """Return whether the first share is larger, by the test of two proportions with their common variance."""
    if not of_here or not of_there:
        return False
    difference = here / of_here - there / of_there
    common = (here + there) / (of_here + of_there)
    error = math.sqrt(common * (1.0 - common) * (1.0 / of_here + 1.0 / of_there))
    return difference >= MATTERS and difference > SURE * error
