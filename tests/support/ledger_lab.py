"""A ledger that tests write by the booth's own bookkeeper and read by Python's own sqlite3."""

import sqlite3
from contextlib import AbstractContextManager, closing
from datetime import date
from pathlib import Path

from kiosk.core.session.facts import Fact, SessionBegan, SessionEnded
from kiosk.store.ledger import Bookkeeper
from tests.support.manual_clock import ManualClock

PATIENCE_S = 60.0
"""For what a slow disk may delay, and must not fail."""


def opened(path: Path) -> Bookkeeper:
    """Open a ledger on 1 March 2026, with a bookkeeper that tries again soon."""
    return Bookkeeper(path, ManualClock(3600.0, date(2026, 3, 1)), lambda key: "unknown", retry_s=0.01)


def keep(path: Path, *facts: Fact) -> Bookkeeper:
    """Write facts into a ledger and close it; return the closed bookkeeper."""
    with closing(opened(path)) as ledger:
        for fact in facts:
            ledger.put(fact)
    return ledger


def rows(path: Path, query: str) -> list[tuple[object, ...]]:
    """Return what Python's own sqlite3 reads, and not what wrote it."""
    with closing(sqlite3.connect(path)) as connection:
        return connection.execute(query).fetchall()


def a_day(path: Path) -> None:
    """Write two hundred sessions."""
    keep(path, *[fact for number in range(200) for fact in (SessionBegan("en"), SessionEnded("printed"))])


def holding(path: Path) -> AbstractContextManager[sqlite3.Connection]:
    """Hold the write lock as a person's database browser would."""
    other = sqlite3.connect(path, isolation_level=None)
    other.execute("BEGIN IMMEDIATE")
    return closing(other)


def fill_the_disk(ledger: Bookkeeper) -> None:
    """Give the file no room to grow until it is opened again: SQLite answers as it does where the disk is full."""
    with ledger._in_use:
        assert ledger._book.engine is not None
        connection = ledger._book.engine.raw_connection().driver_connection
        assert connection is not None
        connection.execute("PRAGMA max_page_count = 1")
