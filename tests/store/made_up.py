"""Days of trade of a shop that does not exist, and the same days counted by plain Python."""

import random
import sqlite3
from collections import Counter
from contextlib import closing
from datetime import UTC, datetime, timedelta

from kiosk.core.session.facts import (
    Attended,
    ConsentGiven,
    DocumentChosen,
    FaultBegan,
    FaultsMended,
    FileHanded,
    SessionBegan,
    SessionEnded,
    SheetBegun,
    SheetEnded,
    ShotJudged,
    ShotLost,
    Stamped,
    VerdictOverridden,
)
from kiosk.store.ledger.file import open_ledger
from kiosk.store.ledger.writer import write

DOCUMENTS = ("gb-passport-print", "schengen-visa", "us-passport-print")
REQUIREMENTS = ("head_size", "yaw", "pitch", "roll", "eyes_open", "mouth_closed", "background_uniformity", "resolution")
ENDINGS = ("printed", "printed", "printed", "printed", "abandoned", "gave_up", "fault")


FIRST = datetime(2026, 1, 1, 9, tzinfo=UTC)


class Shop:
    """Writes sessions into a ledger, one after another from `first`, and counts what it has written."""

    def __init__(self, path, first=FIRST, seed=1, outbox=None):
        self.at, self.at_s = first, 1000.0
        self.chance = random.Random(seed)
        self.counted = Counter()
        self.minutes = []
        self.sheet = 0
        self._engine, _ = open_ledger(path, first)
        self._session = None
        self._outbox = outbox

    def trade(self, sessions, a_day=137):
        """Write sessions, so many a day, and let go of the file."""
        with self._engine.begin() as self._connection:
            for number in range(sessions):
                if number and number % a_day == 0:
                    self.at = (self.at + timedelta(days=1)).replace(hour=9, minute=0)
                self._one()
        self._engine.dispose()
        return self

    def _tell(self, fact, seconds=5.0):
        self._session = write(self._connection, Stamped(fact, self.at, self.at_s), self._session, self._outbox)
        self.at += timedelta(seconds=seconds)
        self.at_s += seconds

    def _one(self):
        chance, counted = self.chance, self.counted
        began_s, ending, document = self.at_s, chance.choice(ENDINGS), chance.choice(DOCUMENTS)
        self._tell(SessionBegan("en"))
        self._tell(DocumentChosen(document))
        self._tell(ConsentGiven())
        for number in range(1, chance.choice((1, 1, 2, 3)) + 1):
            self._shot(number)
        if ending == "printed":
            self.sheet += 1
            doubtful = ("eyes_open", "roll") if chance.random() < 0.2 else ()
            self._tell(SheetBegun(f"k{self.sheet}", document, "na_index-4x6_4x6in", 8, not_certain=doubtful))
            self._tell(SheetEnded(f"k{self.sheet}", "printed"), chance.uniform(10.0, 240.0))
            counted.update(sheets=1, not_certain=1 if doubtful else 0)
            if chance.random() < 0.1:
                self._tell(SheetBegun(f"r{self.sheet}", document, "na_index-4x6_4x6in", 8, 1, f"k{self.sheet}"))
                self._tell(SheetEnded(f"r{self.sheet}", "printed"))
                counted.update(sheets=1, reprints=1)
        if chance.random() < 0.01:
            self._tell(VerdictOverridden("infant"))
            counted["overrides"] += 1
        if ending == "fault":
            self._tell(FaultBegan("camera_fault"))
            counted["faults"] += 1
        if ending == "printed":
            self.minutes.append((self.at_s - began_s) / 60)
        self._tell(SessionEnded(ending))
        if ending == "printed" and self.sheet % 4 == 0:
            self._tell(FileHanded(document, "phone"))
            counted["files"] += 1
        if ending == "fault":
            self._tell(FaultsMended())
        if chance.random() < 0.01:
            self._tell(Attended("paper_changed"))
        counted[ending] += 1

    def _shot(self, number):
        if self.chance.random() < 0.02:
            self._tell(ShotLost(number))
        else:
            drawn = self.chance.choices(("pass", "fail", "refer"), (90, 7, 3), k=len(REQUIREMENTS))
            words = list(zip(REQUIREMENTS, drawn, strict=True))
            self.counted.update(f"{name} {word}" for name, word in words)
            verdict = "fail" if "fail" in dict(words).values() else "pass"
            self._tell(ShotJudged(number, verdict, tuple(words)), 20.0)
        self.counted["shots"] += 1


def multiply(path, times, days_apart):
    """Lay copies of all sessions with their shots and sheets `days_apart` days after one another, in SQLite alone."""
    with closing(sqlite3.connect(path)) as connection, connection:
        (sessions,) = connection.execute("SELECT max(id) FROM session").fetchone()
        (shots,) = connection.execute("SELECT max(id) FROM shot").fetchone()
        copies = f"WITH RECURSIVE n(n) AS (SELECT 1 UNION ALL SELECT n + 1 FROM n WHERE n < {times - 1})"
        day = f"date(day, (n * {days_apart}) || ' days')"
        for table, columns in {
            "session": f"id + n * {sessions}, {day}, began_at, ended_at, duration_s, ending, language, document, NULL",
            "shot": f"id + n * {shots}, session_id + n * {sessions}, number, judged_at, verdict",
            "finding": f"shot_id + n * {shots}, requirement, word",
            "sheet": f"key || '-' || n, session_id + n * {sessions}, {day}, begun_at, ended_at, document, medium,"
            " photos, sheets, ended, reprint_of || '-' || n, not_certain, bill, price",
        }.items():
            connection.execute(f"INSERT INTO {table} {copies} SELECT {columns} FROM {table}, n")
