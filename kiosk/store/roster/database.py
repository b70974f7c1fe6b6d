"""The tables of a roster, and their database: SQLite in a file, or a PostgreSQL server."""

from __future__ import annotations

import json
import sqlite3
from collections.abc import Iterator
from contextlib import ExitStack, contextmanager, nullcontext
from dataclasses import asdict
from datetime import UTC, datetime
from typing import get_args

import sqlalchemy as sa
from sqlalchemy.exc import SQLAlchemyError

from kiosk.core.event.roster import ID, Badge, BadgeState, Person, search_key
from kiosk.errors import MissingPart, RosterUnreachable
from kiosk.store.server import ANSWER_S, AT_SIGN, CONNECTING, deadline, engine_of, reason

_BUSY_S = 5
"""Seconds for which a station waits for another one's transaction in a file."""

WHOLE_LIST_S = 120
"""How long a transaction on a server may take that takes in or counts all people, while no guest waits behind it; each
statement still has `ANSWER_S`."""


class UtcTime(sa.TypeDecorator[datetime]):
    """A moment, in UTC whatever zone it comes in: SQLite keeps none, and a server answers in its own."""

    impl = sa.DateTime(timezone=True)
    cache_ok = True

    def process_bind_param(self, value: datetime | None, dialect: sa.Dialect) -> datetime | None:
        """Return the moment as it is written."""
        return None if value is None else value.astimezone(UTC)

    def process_result_value(self, value: datetime | None, dialect: sa.Dialect) -> datetime | None:
        """Return the moment as it is read."""
        if value is None or value.tzinfo is not None:
            return value and value.astimezone(UTC)
        return value.replace(tzinfo=UTC)


_NAME = sa.String(64)
_tables = sa.MetaData()
PEOPLE = sa.Table(
    "person",
    _tables,
    sa.Column("id", _NAME, primary_key=True),
    sa.Column("columns", sa.Text, nullable=False),
    sa.Column("search", sa.Text, nullable=False, index=True),
    sa.Column("walk_in", sa.Boolean, nullable=False),
    sa.Column("listed", sa.Boolean, nullable=False),
    sa.Column("holder", _NAME, index=True),
)
"""`holder` is the only station that may print this person's badge, if several share the roster."""

BADGES = sa.Table(
    "badge",
    _tables,
    sa.Column("person", sa.ForeignKey("person.id"), primary_key=True),
    sa.Column("number", sa.Integer, primary_key=True, autoincrement=False),
    sa.Column("station", _NAME, nullable=False),
    sa.Column("state", sa.Enum(*get_args(BadgeState), name="badge_state", native_enum=False), nullable=False),
    sa.Column("with_photo", sa.Boolean, nullable=False),
    sa.Column("arrived_at", UtcTime, nullable=False),
    sa.Column("begun_at", UtcTime, nullable=False),
    sa.Column("ended_at", UtcTime),
)

STATIONS = sa.Table(
    "station",
    _tables,
    sa.Column("name", _NAME, primary_key=True),
    sa.Column("lease_until", UtcTime, nullable=False),
)
"""Until when, by the server's clock, a station may print alone those whom it holds; afterwards nobody knows whether it
has, until it answers or an attendant releases it."""

WISHES = sa.Table(
    "wish",
    _tables,
    sa.Column("person", sa.ForeignKey("person.id"), primary_key=True),
    sa.Column("station", _NAME, nullable=False),
)
"""Requests of stations for people whom another station holds."""


class Database:
    """One roster's database.

    Parameters
    ----------
    url
        An SQLAlchemy URL, `sqlite:///FILE` or `postgresql+psycopg://…`.

    Raises
    ------
    RosterUnreachable
        Here and in every transaction: the database does not respond, or the URL is none.
    MissingPart
        The driver for this kind of database is not installed.
    """

    def __init__(self, url: str) -> None:
        options = {"timeout": _BUSY_S} if url.startswith("sqlite") else CONNECTING
        try:
            self._engine = engine_of(url, connect_args=options)
        except (sa.exc.ArgumentError, ValueError):
            detail = f"its address is none; {AT_SIGN}"  # it is left out, for its password
            raise RosterUnreachable(detail=detail) from None
        except ModuleNotFoundError as error:
            raise MissingPart(part=error.name, detail="the driver of that database is not installed") from error
        self.is_shared = self._engine.dialect.name != "sqlite"
        self._is_closed = False
        if not self.is_shared:
            sa.event.listen(self._engine, "connect", _prepare_sqlite)
            sa.event.listen(self._engine, "begin", _begin_immediate)
        with self.transaction() as transaction:
            _tables.create_all(transaction)

    def close(self) -> None:
        """Close all connections, those that another thread is using as soon as its transaction ends."""
        self._is_closed = True
        self._engine.pool.dispose()

    def connect(self, count: int) -> None:
        """Have connections ready for so many threads, none of which then waits for its own."""
        with self._in_words(), ExitStack() as at_once:
            for _ in range(count):
                at_once.enter_context(self._engine.connect())

    def count(self, table: sa.Table) -> int:
        """Return the number of rows in a table."""
        with self.transaction() as transaction:
            return int(transaction.execute(sa.select(sa.func.count()).select_from(table)).scalar_one())

    @contextmanager
    def transaction(self, within_s: float = ANSWER_S) -> Iterator[sa.Connection]:
        """Do all of what is inside, or nothing of it; on a server `within_s`.

        Nobody knows whether the last transaction of a server that is lost was done.
        """
        if self._is_closed:
            raise RosterUnreachable(detail="it was given up")
        with self._in_words(), self._engine.connect() as connection:
            in_time = deadline(connection, within_s) if self.is_shared else nullcontext()
            with in_time, connection.begin():
                yield connection

    def now(self, transaction: sa.Connection) -> datetime | None:
        """Return the time by the server's clock, which all stations share; None where each has only its own."""
        if not self.is_shared:
            return None
        told: datetime = transaction.execute(sa.select(sa.type_coerce(sa.func.now(), UtcTime))).scalar_one()
        return told

    @contextmanager
    def _in_words(self) -> Iterator[None]:
        """Raise what the database raises as `RosterUnreachable`."""
        try:
            yield
        except SQLAlchemyError as error:
            raise RosterUnreachable(detail=reason(error)) from error
        finally:
            if self._is_closed:
                self._engine.pool.dispose()


def person_row(person: Person, *, walk_in: bool) -> dict[str, object]:
    """Return a person as a row of `PEOPLE`."""
    columns = json.dumps(dict(person.values), ensure_ascii=False, sort_keys=True)
    return {
        "id": person.id,
        "columns": columns,
        "search": f" {search_key(person.name)}",
        "walk_in": walk_in,
        "listed": True,
    }


def read_person(row: sa.Row[tuple[object, ...]]) -> Person:
    """Return the person of a row of `PEOPLE`."""
    return Person(row.id, {ID: row.id, **json.loads(row.columns)})


def badge_row(badge: Badge) -> dict[str, object]:
    """Return a badge as a row of `BADGES`."""
    return asdict(badge)


def read_badge(row: sa.Row[tuple[object, ...]]) -> Badge:
    """Return the badge of a row of `BADGES`."""
    return Badge(**row._asdict())


def _prepare_sqlite(connection: sqlite3.Connection, _record: object) -> None:
    """Let SQLAlchemy begin transactions, keep references, and bring every one to the disk before it counts."""
    connection.isolation_level = None
    for pragma in ("foreign_keys = ON", "journal_mode = WAL", "synchronous = FULL"):
        connection.execute(f"PRAGMA {pragma}")


def _begin_immediate(connection: sa.Connection) -> None:
    """Take the right to write at the start: what was read cannot have changed when something is written."""
    connection.exec_driver_sql("BEGIN IMMEDIATE")
