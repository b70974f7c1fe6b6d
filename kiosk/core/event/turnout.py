"""The turnout of an event: who came, who is missing, and how long a person takes at each station."""

from __future__ import annotations

import statistics
from collections import Counter
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta

from kiosk.core.event.roster import Badge, Expected

SLOT = timedelta(minutes=15)
"""The length of the time slots for which badges are counted."""
_ON_PAPER = ("printed", "made", "taken")


@dataclass(frozen=True, slots=True)
class StationWork:
    """The work of one station.

    Attributes
    ----------
    badges
        Number of badges printed.
    failed
        Number of badges that failed, or whose outcome is unknown.
    minutes_each
        Median time in minutes from finding a person to the printed badge; None if none was printed for a person there.
    """

    station: str
    badges: int
    failed: int
    minutes_each: float | None


@dataclass(frozen=True, slots=True)
class Turnout:
    """The state of an event.

    Attributes
    ----------
    expected, walk_ins
        Number of people on the roster, and of those among them who were added at a desk.
    arrived
        Number of people who may hold a badge.
    waiting
        Number of people whose badge was made before they came, and who have not taken it yet.
    printed, reprints
        Number of badges printed, and of those beyond a person's first.
    with_photo
        Number of people whose last badge shows a photo.
    missing
        Names of the people who have not arrived, sorted.
    stations
        The stations, sorted by name.
    by_slot
        Badges that people got by the start of their time slot, including empty slots between the first and the last.
    """

    expected: int
    walk_ins: int
    arrived: int
    waiting: int
    printed: int
    reprints: int
    with_photo: int
    missing: tuple[str, ...]
    stations: tuple[StationWork, ...]
    by_slot: Mapping[datetime, int]


def turnout(everybody: Iterable[Expected]) -> Turnout:
    """Compute the turnout from everybody on the roster."""
    people = list(everybody)
    badges = [badge for person in people for badge in person.badges]
    printed = [badge for badge in badges if badge.state in _ON_PAPER]
    holders = [last for person in people if (last := person.printed) is not None and last.state != "made"]
    arrived = {badge.person for badge in holders}
    return Turnout(
        expected=len(people),
        walk_ins=sum(person.walk_in for person in people),
        arrived=len(holders),
        waiting=sum(person.printed is not None and person.printed.state == "made" for person in people),
        printed=len(printed),
        reprints=len(printed) - len({badge.person for badge in printed}),
        with_photo=sum(badge.with_photo for badge in holders),
        missing=tuple(sorted(person.person.name for person in people if person.person.id not in arrived)),
        stations=tuple(_work(name, badges) for name in sorted({badge.station for badge in badges})),
        by_slot=_by_slot(badge for badge in printed if badge.state != "made"),
    )


def _work(name: str, badges: Sequence[Badge]) -> StationWork:
    own = [badge for badge in badges if badge.station == name]
    took = [
        (badge.ended_at - badge.arrived_at) / timedelta(minutes=1)
        for badge in own
        if badge.state == "printed" and badge.ended_at is not None
    ]
    bad = sum(badge.state in ("failed", "unknown") for badge in own)
    printed = sum(badge.state in _ON_PAPER for badge in own)
    return StationWork(name, printed, bad, statistics.median(took) if took else None)


def _by_slot(printed: Iterable[Badge]) -> Mapping[datetime, int]:
    counts = Counter(_slot(badge.ended_at or badge.begun_at) for badge in printed)
    if not counts:
        return {}
    first, last = min(counts), max(counts)
    return {first + step * SLOT: counts[first + step * SLOT] for step in range(round((last - first) / SLOT) + 1)}


def _slot(moment: datetime) -> datetime:
    midnight = moment.replace(hour=0, minute=0, second=0, microsecond=0)
    return midnight + (moment - midnight) // SLOT * SLOT
