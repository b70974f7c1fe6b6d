"""The tables of a roster, and their database: SQLite in a file, or a PostgreSQL server."""

from __future__ import annotations

import json
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import asdict
from datetime import UTC
from typing import get_args

import sqlalchemy as sa
from sqlalchemy.exc import DatabaseError, IntegrityError

from kiosk.core.event.roster import ID, Badge, BadgeState, Person, search_key
from kiosk.errors import MissingPart, RosterUnreachable
from kiosk.store.sqlite import make_durable

_BUSY_S = 5
"""Seconds for which a station waits for another one's transaction in a file."""

_SERVER_S = 3
_SERVER = {
    "connect_timeout": _SERVER_S,
    "tcp_user_timeout": 1000 * _SERVER_S,
    "keepalives_idle": _SERVER_S,
    "keepalives_interval": 1,
    "keepalives_count": 2,
    "options": f"-c statement_timeout={_SERVER_S}s",
}
"""Time-outs after which a station works offline, whether the link is down or the server hangs (PostgreSQL, libpq's
connection parameters)."""

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
    sa.Column("arrived_at", sa.DateTime(timezone=True), nullable=False),
    sa.Column("begun_at", sa.DateTime(timezone=True), nullable=False),
    sa.Column("ended_at", sa.DateTime(timezone=True)),
)

STATIONS = sa.Table(
    "station",
    _tables,
    sa.Column("name", _NAME, primary_key=True),
    sa.Column("lease_until", sa.DateTime(timezone=True), nullable=False),
)
"""The time, by the server's clock, until which no other station may claim the people that a station holds."""

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
        options = {"timeout": _BUSY_S} if url.startswith("sqlite") else _SERVER
        try:
            self._engine = sa.create_engine(url, connect_args=options, pool_pre_ping=True)
        except (sa.exc.ArgumentError, ValueError):
            detail = "its address is no address of a database"  # which is left out, for its password
            raise RosterUnreachable(detail=detail) from None
        except ModuleNotFoundError as error:
            raise MissingPart(part=error.name, detail="the driver of that database is not installed") from error
        if self._engine.dialect.name == "sqlite":
            make_durable(self._engine)
        with self.transaction() as transaction:
            _tables.create_all(transaction)

    def close(self) -> None:
        """Close all connections."""
        self._engine.dispose()

    def count(self, table: sa.Table) -> int:
        """Return the number of rows in a table."""
        with self.transaction() as transaction:
            return int(transaction.execute(sa.select(sa.func.count()).select_from(table)).scalar_one())

    @contextmanager
    def transaction(self) -> Iterator[sa.Connection]:
        """Run a transaction: all of its statements take effect, or none.

        Raises
        ------
        RosterUnreachable
            The database does not respond.
        """
        try:
            with self._engine.begin() as transaction:
                yield transaction
        except IntegrityError:
            raise
        except DatabaseError as error:
            detail = str(error.orig).partition("\n")[0] or type(error.orig).__name__
            raise RosterUnreachable(detail=detail) from error


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
    """Return the badge of a row of `BADGES`; SQLite returns times without their zone, which is UTC."""
    values = row._asdict()
    for name in ("arrived_at", "begun_at", "ended_at"):
        if values[name] is not None and values[name].tzinfo is None:
            values[name] = values[name].replace(tzinfo=UTC)
    return Badge(**values)
