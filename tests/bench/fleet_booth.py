"""A booth's month in a process of its own: the real ledger and the real sender, which may be killed at any time.

Where it is in its month it knows from its ledger alone, as after a power cut.
"""

from __future__ import annotations

import random
import sqlite3
import time
from contextlib import closing
from dataclasses import dataclass
from datetime import UTC, date, datetime, timedelta
from pathlib import Path

import psycopg  # noqa: F401  loaded before the process is forked
import sqlalchemy.dialects.postgresql.psycopg
import sqlalchemy.dialects.sqlite.pysqlite  # noqa: F401

from kiosk.core.session.facts import (
    Attended,
    ConsentGiven,
    DocumentChosen,
    Fact,
    FaultBegan,
    FaultsMended,
    LanguageChosen,
    SessionBegan,
    SessionEnded,
    SheetBegun,
    SheetEnded,
    ShotJudged,
    ShotLost,
    VerdictOverridden,
)
from kiosk.store.fleet.office import BoothStanding, Office
from kiosk.store.fleet.sender import Sender
from kiosk.store.ledger import Bookkeeper
from tests.store.made_up import DOCUMENTS, REQUIREMENTS

MONTH, DAYS = datetime(2026, 6, 1, 9, tzinfo=UTC), 30
LOOK_S = 4.0
"""How often a sender looks into the outbox, instead of every 15 s: time is sped up for it, too."""
OVER = "over"
"""A file beside the booths' folders that ends the month early."""


@dataclass(frozen=True)
class Booth:
    """A simulated booth: its name, ledger and office, its sessions, and how many seconds one of them takes here."""

    name: str
    ledger: Path
    url: str
    sessions: int
    each_s: float
    seed: int


class MonthClock:
    """The clock of a booth whose month is told by its sessions."""

    def __init__(self) -> None:
        self.at = MONTH

    def now_s(self) -> float:
        """Return the seconds of its wall clock."""
        return self.at.timestamp()

    def now(self) -> datetime:
        """Return its wall clock."""
        return self.at

    def today(self) -> date:
        """Return its day."""
        return self.at.date()

    def sleep(self, seconds: float) -> None:
        """Move on."""
        self.at += timedelta(seconds=seconds)


def run_booth(booth: Booth) -> None:
    """Serve what is left of the month, and end when the office has everything."""
    clock = MonthClock()
    done = _sessions(booth.ledger)
    clock.at = _at(booth, done)
    chance = random.Random(f"{booth.seed} {done}")
    with closing(Bookkeeper(booth.ledger, clock, lambda key: "unknown", 0.1, is_sent=True)) as ledger:
        standing = BoothStanding(f"region {booth.seed % 5}", 100, 10)
        with closing(Sender(Office(booth.url), booth.name, ledger, lambda: standing, clock, LOOK_S)):
            for number in range(done, booth.sessions):
                if (booth.ledger.parents[1] / OVER).exists():
                    break
                clock.at = _at(booth, number)
                for fact in _session(chance):
                    ledger.put(fact)
                    clock.sleep(chance.uniform(0.5, 20.0))
                    time.sleep(booth.each_s * chance.uniform(0.0, 0.2))
                assert ledger.flush(120.0)
            while ledger.unsent.count:
                time.sleep(0.1)


def _sessions(path: Path) -> int:
    if not path.exists():
        return 0
    with closing(sqlite3.connect(path)) as connection:
        (tables,) = connection.execute("SELECT count(*) FROM sqlite_schema WHERE name = 'session'").fetchone()
        return int(connection.execute("SELECT count(*) FROM session").fetchone()[0]) if tables else 0


def _at(booth: Booth, number: int) -> datetime:
    """Return when a session begins: the month's are spread over its days, some ten minutes apart."""
    day, place = divmod(number * DAYS, booth.sessions)
    return MONTH + timedelta(days=min(day, DAYS - 1), minutes=10 * place / DAYS)


def _session(chance: random.Random) -> list[Fact]:
    facts: list[Fact] = [SessionBegan("en")]
    if chance.random() < 0.3:
        facts.append(LanguageChosen("de"))
    document = chance.choice(DOCUMENTS)
    facts += [DocumentChosen(document), ConsentGiven()]
    for number in range(1, chance.choice((1, 1, 2, 3)) + 1):
        words = [(each, chance.choices(("pass", "fail", "refer"), (90, 7, 3))[0]) for each in REQUIREMENTS]
        judged = ShotJudged(number, "fail" if "fail" in dict(words).values() else "pass", tuple(words))
        facts.append(ShotLost(number) if chance.random() < 0.02 else judged)
    if chance.random() < 0.02:
        facts.append(VerdictOverridden("infant"))
    if chance.random() < 0.05:
        return [*facts, FaultBegan("camera_fault"), SessionEnded("fault"), FaultsMended(), Attended("opened")]
    if chance.random() < 0.2:
        return [*facts, SessionEnded("abandoned")]
    key = f"{chance.getrandbits(64):016x}"
    sheet = SheetBegun(key, document, "na_index-4x6_4x6in", 8)
    return [*facts, sheet, SheetEnded(key, "printed"), SessionEnded("printed")]
