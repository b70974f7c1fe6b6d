"""The roster of an event in a database that its stations share: who is expected, and every badge that was begun.

One station alone uses SQLite, several one PostgreSQL. A badge is begun by inserting its row; the pair of person and
number is unique, so of two stations that want the same badge at once one gets the row and the other is told where it
was printed. Transactions and constraints are the database's; there are no locks of our own.
"""

from __future__ import annotations

import json
import sqlite3
from collections.abc import Iterable, Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from datetime import UTC, datetime
from typing import Literal, get_args

import sqlalchemy as sa
from sqlalchemy.exc import DatabaseError, IntegrityError, OperationalError

from kiosk.clock import Clock
from kiosk.core.roster import ID, Person, search_key
from kiosk.errors import BadgePrinted, RosterUnreachable, UnknownPerson

BadgeState = Literal["begun", "printed", "failed", "unknown"]
FOUND = 20
"""The most people a search returns: more are not read on a screen."""

_BUSY_S = 5.0
_tables = sa.MetaData()
_people = sa.Table(
    "person",
    _tables,
    sa.Column("id", sa.String(64), primary_key=True),
    sa.Column("columns", sa.Text, nullable=False),
    sa.Column("search", sa.Text, nullable=False, index=True),
    sa.Column("walk_in", sa.Boolean, nullable=False),
    sa.Column("listed", sa.Boolean, nullable=False),
)
_badges = sa.Table(
    "badge",
    _tables,
    sa.Column("person", sa.ForeignKey("person.id"), primary_key=True),
    sa.Column("number", sa.Integer, primary_key=True, autoincrement=False),
    sa.Column("station", sa.String(64), nullable=False),
    sa.Column("state", sa.Enum(*get_args(BadgeState), name="badge_state", native_enum=False), nullable=False),
    sa.Column("with_photo", sa.Boolean, nullable=False),
    sa.Column("begun_at", sa.DateTime(timezone=True), nullable=False),
    sa.Column("ended_at", sa.DateTime(timezone=True)),
)


@dataclass(frozen=True, slots=True)
class Imported:
    """What an import changed: how many people are new, have other values, or are no longer on the list."""

    added: int
    changed: int
    dropped: int


@dataclass(frozen=True, slots=True)
class Badge:
    """A badge that was begun; the first of a person has the number 1, each reprint one more."""

    person: str
    number: int
    station: str
    state: BadgeState
    with_photo: bool
    begun_at: datetime


@dataclass(frozen=True, slots=True)
class Expected:
    """A person with the badges that were begun for them, in order."""

    person: Person
    walk_in: bool
    badges: tuple[Badge, ...]

    @property
    def printed(self) -> Badge | None:
        """The last badge that may be in somebody's hands; a failed one is not."""
        return next((badge for badge in reversed(self.badges) if badge.state != "failed"), None)


class Roster:
    """The people of one event, seen from one station.

    Parameters
    ----------
    url
        Of the database as SQLAlchemy takes it, `sqlite:///FILE` or `postgresql+psycopg://…`.
    station
        This station's name.

    Raises
    ------
    RosterUnreachable
        By every method: the database does not answer.
    """

    def __init__(self, url: str, station: str, clock: Clock) -> None:
        self._station = station
        self._clock = clock
        options = {"timeout": _BUSY_S} if url.startswith("sqlite") else {"connect_timeout": round(_BUSY_S)}
        self._engine = sa.create_engine(url, connect_args=options, pool_pre_ping=True)
        if self._engine.dialect.name == "sqlite":
            sa.event.listen(self._engine, "connect", _prepare_sqlite)
            sa.event.listen(self._engine, "begin", _begin_immediate)
        with self._transaction() as transaction:
            _tables.create_all(transaction)

    def close(self) -> None:
        """Let the database go."""
        self._engine.dispose()

    def take_list(self, people: Sequence[Person]) -> Imported:
        """Make the list what these people are, all or nothing; walk-ins and whoever has a badge stay."""
        with self._transaction() as transaction:
            known = {row.id: row for row in transaction.execute(sa.select(_people))}
            fresh = [_row(person, walk_in=False) for person in people]
            added = [row for row in fresh if row["id"] not in known]
            changed = [row for row in fresh if row["id"] in known and _differs(row, known[row["id"]])]
            wanted = {row["id"] for row in fresh}
            dropped = [key for key, row in known.items() if key not in wanted and row.listed and not row.walk_in]
            if added:
                transaction.execute(sa.insert(_people), added)
            for row in changed:
                transaction.execute(sa.update(_people).where(_people.c.id == row["id"]).values(**row))
            for key in dropped:
                transaction.execute(sa.update(_people).where(_people.c.id == key).values(listed=False))
        return Imported(len(added), len(changed), len(dropped))

    def add_walk_in(self, person: Person) -> None:
        """Add somebody who is not on the list.

        Raises
        ------
        BadgePrinted
            The id is taken.
        """
        try:
            with self._transaction() as transaction:
                transaction.execute(sa.insert(_people), [_row(person, walk_in=True)])
        except IntegrityError as error:
            raise BadgePrinted(person=person.id, station="the list", when="before") from error

    def find(self, text: str) -> tuple[Expected, ...]:
        """Return who has this id, else those whose names have words that begin as the words of the text do."""
        exact = _people.c.id == text.strip()
        words = search_key(text).split()
        like = [_people.c.search.like(f"% {word}%") for word in words]
        with self._transaction() as transaction:
            rows = transaction.execute(sa.select(_people).where(exact)).all()
            if not rows and words:
                listed = sa.select(_people).where(_people.c.listed, *like).order_by(_people.c.search).limit(FOUND)
                rows = transaction.execute(listed).all()
            badges = self._badges_of(transaction, [row.id for row in rows])
        return tuple(
            Expected(_person(row), row.walk_in, tuple(badge for badge in badges if badge.person == row.id))
            for row in rows
        )

    def person(self, person_id: str) -> Person:
        """Return who has an id.

        Raises
        ------
        UnknownPerson
            Nobody has it.
        """
        with self._transaction() as transaction:
            row = transaction.execute(sa.select(_people).where(_people.c.id == person_id)).first()
        if row is None:
            raise UnknownPerson(person=person_id)
        return _person(row)

    def begin(self, person_id: str, *, with_photo: bool, reprint: bool = False) -> Badge:
        """Begin a badge, so that no other station prints it.

        Raises
        ------
        UnknownPerson
            Nobody has that id.
        BadgePrinted
            A badge was begun before and no reprint is asked for, or another station was faster.
        """
        try:
            with self._transaction() as transaction:
                if transaction.execute(sa.select(_people.c.id).where(_people.c.id == person_id)).first() is None:
                    raise UnknownPerson(person=person_id)
                before = self._badges_of(transaction, [person_id])
                last = next((badge for badge in reversed(before) if badge.state != "failed"), None)
                if last is not None and not reprint:
                    raise _printed(last)
                badge = Badge(person_id, len(before) + 1, self._station, "begun", with_photo, self._clock.now())
                transaction.execute(sa.insert(_badges), [_badge_row(badge)])
        except IntegrityError as error:
            raise _printed(self.find(person_id)[0].badges[-1]) from error
        return badge

    def end(self, badge: Badge, state: BadgeState) -> None:
        """Note what became of a badge; saying the same again changes nothing."""
        this = (_badges.c.person == badge.person) & (_badges.c.number == badge.number)
        with self._transaction() as transaction:
            transaction.execute(sa.update(_badges).where(this).values(state=state, ended_at=self._clock.now()))

    def everybody(self) -> Iterator[Expected]:
        """Yield all people with their badges, in the order of their ids."""
        with self._transaction() as transaction:
            rows = transaction.execute(sa.select(_people).order_by(_people.c.id)).all()
            badges: dict[str, list[Badge]] = {}
            for badge in self._badges_of(transaction, None):
                badges.setdefault(badge.person, []).append(badge)
        for row in rows:
            if row.listed or row.walk_in or row.id in badges:
                yield Expected(_person(row), row.walk_in, tuple(badges.get(row.id, ())))

    def _badges_of(self, transaction: sa.Connection, people: Iterable[str] | None) -> list[Badge]:
        asked = sa.select(_badges).order_by(_badges.c.person, _badges.c.number)
        if people is not None:
            asked = asked.where(_badges.c.person.in_(list(people)))
        return [_badge(row) for row in transaction.execute(asked)]

    @contextmanager
    def _transaction(self) -> Iterator[sa.Connection]:
        try:
            with self._engine.begin() as transaction:
                yield transaction
        except IntegrityError:
            raise
        except (OperationalError, DatabaseError) as error:
            detail = str(error.orig).partition("\n")[0] or type(error.orig).__name__
            raise RosterUnreachable(detail=detail) from error


def _printed(badge: Badge) -> BadgePrinted:
    return BadgePrinted(person=badge.person, station=badge.station, when=f"{badge.begun_at:%H:%M}")


def _row(person: Person, *, walk_in: bool) -> dict[str, object]:
    columns = json.dumps(dict(person.values), ensure_ascii=False, sort_keys=True)
    return {
        "id": person.id,
        "columns": columns,
        "search": f" {search_key(person.name)}",
        "walk_in": walk_in,
        "listed": True,
    }


def _differs(row: dict[str, object], known: sa.Row[tuple[object, ...]]) -> bool:
    return (row["columns"], row["listed"]) != (known.columns, known.listed)


def _person(row: sa.Row[tuple[object, ...]]) -> Person:
    return Person(row.id, {ID: row.id, **json.loads(row.columns)})


def _badge_row(badge: Badge) -> dict[str, object]:
    return {
        "person": badge.person,
        "number": badge.number,
        "station": badge.station,
        "state": badge.state,
        "with_photo": badge.with_photo,
        "begun_at": badge.begun_at,
    }


def _badge(row: sa.Row[tuple[object, ...]]) -> Badge:
    begun_at = row.begun_at if row.begun_at.tzinfo else row.begun_at.replace(tzinfo=UTC)
    return Badge(row.person, row.number, row.station, row.state, row.with_photo, begun_at)


def _prepare_sqlite(connection: sqlite3.Connection, _record: object) -> None:
    """Let SQLAlchemy begin transactions, keep references, and bring every one to the disk before it counts."""
    connection.isolation_level = None
    for pragma in ("foreign_keys = ON", "journal_mode = WAL", "synchronous = FULL"):
        connection.execute(f"PRAGMA {pragma}")


def _begin_immediate(connection: sa.Connection) -> None:
    """Take the right to write at the start: what was read cannot have changed when something is written."""
    connection.exec_driver_sql("BEGIN IMMEDIATE")
