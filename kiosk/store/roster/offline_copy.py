"""A station's own copy of a shared roster in SQLite: all people, with a mark on those it may print offline."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import datetime

import sqlalchemy as sa
from sqlalchemy.dialects.postgresql import insert as insert_shared
from sqlalchemy.dialects.sqlite import insert

from kiosk.core.event.roster import Badge
from kiosk.store.roster.database import BADGES, PEOPLE, Database, badge_row, read_badge

Rows = Sequence[sa.RowMapping]


@dataclass(frozen=True, slots=True)
class OfflineCopy:
    """The operations on a station's copy that go beyond those of `Roster`."""

    database: Database
    station: str

    def download(self, shared: Database) -> None:
        """Copy all people and the other stations' badges from the shared roster; this station's own are newer here."""
        with shared.transaction() as transaction:
            people = transaction.execute(sa.select(PEOPLE)).mappings().all()
            badges = transaction.execute(sa.select(BADGES).where(BADGES.c.station != self.station)).mappings().all()
        with self.database.transaction() as transaction:
            for table, rows in ((PEOPLE, people), (BADGES, badges)):
                if rows:
                    copied = insert(table)
                    fresh = {column.name: copied.excluded[column.name] for column in table.c if column.name != "holder"}
                    upsert = copied.on_conflict_do_update(index_elements=list(table.primary_key), set_=fresh)
                    transaction.execute(
                        upsert, [dict(row) | ({"holder": None} if table is PEOPLE else {}) for row in rows]
                    )

    def upload(self, shared: Database) -> None:
        """Copy this station's walk-ins and badges, with their current state, to the shared roster.

        No badge is dropped: if another station has used its number in the meantime, it gets the next one in both. A
        badge that only the shared roster knows was started before this station was cut off or killed, so its outcome
        is unknown.
        """
        own = sa.select(BADGES).where(BADGES.c.station == self.station).order_by(BADGES.c.number)
        with self.database.transaction() as transaction:
            mine = [read_badge(row) for row in transaction.execute(own)]
            walked_in = sa.select(PEOPLE).where(PEOPLE.c.walk_in, PEOPLE.c.holder == self.station)
            people = [dict(row) for row in transaction.execute(walked_in).mappings()]
        with shared.transaction() as transaction:
            if people:
                transaction.execute(insert_shared(PEOPLE).on_conflict_do_nothing(), people)
            there = {(badge.person, badge.begun_at): badge for badge in map(read_badge, transaction.execute(own))}
            numbers = {badge: there[badge.person, badge.begun_at].number for badge in mine if _key(badge) in there}
            numbers |= _numbered([badge for badge in mine if badge not in numbers], transaction)
            for badge in mine:
                if (known := there.pop(_key(badge), None)) is None:
                    row = badge_row(badge) | {"number": numbers[badge]}
                    transaction.execute(sa.insert(BADGES), [row])
                elif (known.state, known.ended_at) != (badge.state, badge.ended_at):
                    ended = {"state": badge.state, "ended_at": badge.ended_at}
                    transaction.execute(_same(known).values(**ended))
            for left in there.values():
                if left.state == "begun":
                    transaction.execute(_same(left).values(state="unknown", ended_at=sa.func.now()))
        moved = [badge for badge in mine if numbers[badge] != badge.number]
        if moved:
            with self.database.transaction() as transaction:
                for badge in reversed(moved):
                    transaction.execute(_same(badge).values(number=numbers[badge]))

    def set_share(self, people: Iterable[str], shared: Database) -> None:
        """Mark exactly these people as this station's.

        The badges that others printed for the new ones are copied in the same transaction as the mark, so that this
        station never prints such a person twice.
        """
        held = set(people)
        with self.database.transaction() as transaction:
            marked = set(transaction.execute(sa.select(PEOPLE.c.id).where(PEOPLE.c.holder == self.station)).scalars())
        fresh = held - marked
        badges: Rows = []
        if fresh:
            with shared.transaction() as transaction:
                badges = transaction.execute(sa.select(BADGES).where(BADGES.c.person.in_(fresh))).mappings().all()
        with self.database.transaction() as transaction:
            if badges:
                transaction.execute(insert(BADGES).on_conflict_do_nothing(), [dict(row) for row in badges])
            _mark(transaction, None, marked - held)
            _mark(transaction, self.station, fresh)

    def forget(self, people: Iterable[str]) -> None:
        """Remove the mark from these people."""
        with self.database.transaction() as transaction:
            _mark(transaction, None, people)

    def add_to_share(self, person: str) -> None:
        """Mark one more person as this station's."""
        with self.database.transaction() as transaction:
            _mark(transaction, self.station, [person])

    def learn(self, person: str, shared: Database) -> None:
        """Copy a person whom another station has added since the last download."""
        this = sa.select(PEOPLE).where(PEOPLE.c.id == person)
        with shared.transaction() as transaction:
            rows = [dict(row) | {"holder": None} for row in transaction.execute(this).mappings()]
        if rows:
            with self.database.transaction() as transaction:
                transaction.execute(insert(PEOPLE).on_conflict_do_nothing(), rows)

    def add_badge(self, badge: Badge) -> None:
        """Record a badge that this station started on the server."""
        row = badge_row(badge)
        with self.database.transaction() as transaction:
            transaction.execute(insert(BADGES).on_conflict_do_nothing(), [row])

    def may_print(self, person: str) -> bool:
        """Return whether this station may print a person's badge while offline."""
        mine = sa.select(PEOPLE.c.id).where(PEOPLE.c.id == person, PEOPLE.c.holder == self.station)
        with self.database.transaction() as transaction:
            return transaction.execute(mine).first() is not None


def _key(badge: Badge) -> tuple[str, datetime]:
    """Return what a badge of one station is known by, whatever its number."""
    return badge.person, badge.begun_at


def _same(badge: Badge) -> sa.Update:
    return sa.update(BADGES).where(BADGES.c.person == badge.person, BADGES.c.number == badge.number)


def _numbered(badges: Sequence[Badge], shared: sa.Connection) -> dict[Badge, int]:
    """Return the number of each badge that is new to the shared roster: its own, or the next one that is free."""
    people = {badge.person for badge in badges}
    known = sa.select(BADGES.c.person, BADGES.c.number).where(BADGES.c.person.in_(people))
    taken: dict[str, set[int]] = {person: set() for person in people}
    for person, number in shared.execute(known).tuples():
        taken[person].add(number)
    numbers = {}
    for badge in badges:
        used = taken[badge.person]
        numbers[badge] = badge.number if badge.number not in used else max(used) + 1
        used.add(numbers[badge])
    return numbers


def _mark(transaction: sa.Connection, holder: str | None, people: Iterable[str]) -> None:
    marking = sa.update(PEOPLE).where(PEOPLE.c.id == sa.bindparam("key")).values(holder=holder)
    keys = [{"key": person} for person in people]
    if keys:
        transaction.execute(marking, keys)
