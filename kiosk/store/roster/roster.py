"""An event's roster as one station sees it: the expected people, and every badge that was started.

A badge is started by inserting its row, in a transaction that locks the person's row. If two stations want the same
badge at the same time, one gets it, and the other learns where it was printed. There are no locks besides the
database's own transactions and constraints. In a shared roster all times are by the server's clock.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta

import sqlalchemy as sa

from kiosk.core.event.roster import Badge, BadgeState, Expected, Person, last_held
from kiosk.errors import BadgePrinted, HeldElsewhere, IdTaken, NoBadgeWaits, UnknownPerson
from kiosk.store.roster.database import (
    BADGES,
    PEOPLE,
    WHOLE_LIST_S,
    Database,
    badge_row,
    person_row,
    read_badge,
    read_person,
)
from kiosk.store.roster.leases import out_of_touch
from kiosk.store.roster.name_search import PersonRow, letters_after, matching, with_name
from kiosk.store.server import ANSWER_S
from kiosk.system.clock import Clock

ON_ITS_WAY = timedelta(minutes=2)
"""How long a badge in progress blocks a further one for the same person: longer than a card takes (practice)."""


@dataclass(frozen=True, slots=True)
class Imported:
    """The effect of an import: the numbers of people added, changed, and dropped from the list."""

    added: int
    changed: int
    dropped: int


class Roster:
    """The people of one event, seen from one station.

    Parameters
    ----------
    database
        The roster's database.
    station
        This station's name.

    Raises
    ------
    RosterUnreachable
        Raised by every method if the database does not respond.
    """

    def __init__(self, database: Database, station: str, clock: Clock) -> None:
        self._database = database
        self._station = station
        self._clock = clock
        self.ahead = timedelta()
        """How far ahead of this station's clock the server's is, of which this roster is a copy."""

    def close(self) -> None:
        """Close the database."""
        self._database.close()

    def import_list(self, people: Sequence[Person]) -> Imported:
        """Replace the list by these people in one transaction; walk-ins and people with a badge remain."""
        with self._database.transaction(WHOLE_LIST_S) as transaction:
            known = {row.id: row for row in transaction.execute(sa.select(PEOPLE))}
            fresh = [person_row(person, walk_in=False) for person in people]
            added = [row for row in fresh if row["id"] not in known]
            changed = [row for row in fresh if row["id"] in known and _differs(row, known[row["id"]])]
            imported = {row["id"] for row in fresh}
            dropped = [key for key, row in known.items() if key not in imported and row.listed and not row.walk_in]
            if added:
                transaction.execute(sa.insert(PEOPLE), added)
            for row in changed:
                transaction.execute(sa.update(PEOPLE).where(PEOPLE.c.id == row["id"]).values(**row))
            for key in dropped:
                transaction.execute(sa.update(PEOPLE).where(PEOPLE.c.id == key).values(listed=False))
        return Imported(len(added), len(changed), len(dropped))

    def add_walk_in(self, person: Person) -> None:
        """Add a person who is not on the list.

        Raises
        ------
        IdTaken
            The id is in use.
        """
        with self._database.transaction() as transaction:
            if transaction.execute(sa.select(PEOPLE.c.id).where(PEOPLE.c.id == person.id)).first() is not None:
                raise IdTaken(person=person.id)
            transaction.execute(sa.insert(PEOPLE), [person_row(person, walk_in=True)])

    def change(self, person: Person) -> None:
        """Change a person's values, which badges show from now on.

        Raises
        ------
        UnknownPerson
            Nobody has that id.
        """
        row = person_row(person, walk_in=False)
        fresh = {"columns": row["columns"], "search": row["search"]}
        with self._database.transaction() as transaction:
            changing = sa.update(PEOPLE).where(PEOPLE.c.id == person.id).values(**fresh)
            if not transaction.execute(changing).rowcount:
                raise UnknownPerson(person=person.id)

    def namesakes(self, name: str) -> tuple[Expected, ...]:
        """Return the people who have this name, ignoring case and accents."""
        with self._database.transaction() as transaction:
            return self._expected(transaction, with_name(transaction, name))

    def find(self, text: str, within_s: float = ANSWER_S) -> tuple[Expected, ...]:
        """Return the people with this id or name, as `matching` does."""
        with self._database.transaction(within_s) as transaction:
            return self._expected(transaction, matching(transaction, text))

    def spell(self, text: str, within_s: float = ANSWER_S) -> tuple[tuple[Expected, ...], tuple[str, ...]]:
        """Return the people whom `find` returns, none for no text, and the letters that `letters_after` returns."""
        with self._database.transaction(within_s) as transaction:
            found = self._expected(transaction, matching(transaction, text)) if text.strip() else ()
            return found, letters_after(transaction, text)

    def person(self, person_id: str) -> Person:
        """Return the person with an id.

        Raises
        ------
        UnknownPerson
            Nobody has that id.
        """
        with self._database.transaction() as transaction:
            row = transaction.execute(sa.select(PEOPLE).where(PEOPLE.c.id == person_id)).first()
        if row is None:
            raise UnknownPerson(person=person_id)
        return read_person(row)

    def begin(
        self, person_id: str, *, with_photo: bool, reprint: bool = False, arrived_at: datetime | None = None
    ) -> Badge:
        """Start a badge, so that no other station prints it; `arrived_at` defaults to now.

        Raises
        ------
        UnknownPerson
            Nobody has that id.
        HeldElsewhere
            Another station holds the person.
        BadgePrinted
            A badge was started before and `reprint` is not set, one is in progress, or another station was faster.
        """
        wanted = sa.select(PEOPLE.c.holder).where(PEOPLE.c.id == person_id).with_for_update()
        with self._database.transaction() as transaction:
            found = transaction.execute(wanted).first()
            if found is None:
                raise UnknownPerson(person=person_id)
            if found.holder not in (None, self._station):
                raise HeldElsewhere(person=person_id, station=found.holder, detail="it may print alone")
            before = self._badges_of(transaction, [person_id])
            last = last_held(before)
            now = self._now(transaction)
            on_its_way = last is not None and last.state == "begun" and now - last.begun_at < ON_ITS_WAY
            if last is not None and (on_its_way or not reprint):
                when = f"{last.begun_at.astimezone():%H:%M}"
                raise BadgePrinted(person=last.person, station=last.station, when=when)
            number = before[-1].number + 1 if before else 1
            waited = self._clock.now() - arrived_at if arrived_at is not None else timedelta()
            badge = Badge(person_id, number, self._station, "begun", with_photo, now - waited, now)
            transaction.execute(sa.insert(BADGES), [badge_row(badge)])
        return badge

    def settle(self) -> None:
        """Mark the badges that this station started before it was restarted as of unknown outcome."""
        stuck = (BADGES.c.station == self._station) & (BADGES.c.state == "begun")
        with self._database.transaction() as transaction:
            transaction.execute(sa.update(BADGES).where(stuck).values(state="unknown", ended_at=self._now(transaction)))

    def end(self, badge: Badge, state: BadgeState) -> None:
        """Record the outcome of a badge; recording it twice does no harm."""
        mine = (BADGES.c.person == badge.person) & (BADGES.c.station == badge.station)
        this = mine & (BADGES.c.begun_at == badge.begun_at)  # its number may have been taken by another station's
        with self._database.transaction() as transaction:
            transaction.execute(sa.update(BADGES).where(this).values(state=state, ended_at=self._now(transaction)))

    def take(self, person_id: str) -> None:
        """Record that a person has come and taken the badge that was made beforehand.

        Raises
        ------
        UnknownPerson
            Nobody has that id.
        NoBadgeWaits
            Their last badge was not made beforehand, or they have taken it.
        """
        self.person(person_id)
        with self._database.transaction() as transaction:
            last = last_held(self._badges_of(transaction, [person_id]))
            if last is None or last.state != "made":
                raise NoBadgeWaits(person=person_id)
            this = (BADGES.c.person == person_id) & (BADGES.c.number == last.number)
            transaction.execute(sa.update(BADGES).where(this).values(state="taken", ended_at=self._now(transaction)))

    def everybody(self) -> Iterator[Expected]:
        """Yield all people with their badges, sorted by id."""
        with self._database.transaction(WHOLE_LIST_S) as transaction:
            rows = transaction.execute(sa.select(PEOPLE).order_by(PEOPLE.c.id)).all()
            badges: dict[str, list[Badge]] = {}
            for badge in self._badges_of(transaction, None):
                badges.setdefault(badge.person, []).append(badge)
            silent = self._silent(transaction)
        for row in rows:
            if row.listed or row.walk_in or row.id in badges:
                yield _expected(row, badges.get(row.id, ()), silent)

    def _expected(self, transaction: sa.Connection, rows: Sequence[PersonRow]) -> tuple[Expected, ...]:
        badges, silent = self._badges_of(transaction, [row.id for row in rows]), self._silent(transaction)
        return tuple(_expected(row, [badge for badge in badges if badge.person == row.id], silent) for row in rows)

    def _silent(self, transaction: sa.Connection) -> frozenset[str]:
        """Return the other stations that are out of touch, which a server alone knows."""
        if not self._database.is_shared:
            return frozenset()
        return frozenset(transaction.execute(out_of_touch()).scalars()) - {self._station}

    def _now(self, transaction: sa.Connection) -> datetime:
        return self._database.now(transaction) or self._clock.now().astimezone(UTC) + self.ahead

    def _badges_of(self, transaction: sa.Connection, people: Iterable[str] | None) -> list[Badge]:
        query = sa.select(BADGES).order_by(BADGES.c.person, BADGES.c.number)
        if people is not None:
            query = query.where(BADGES.c.person.in_(list(people)))
        return [read_badge(row) for row in transaction.execute(query)]


def _expected(row: PersonRow, badges: Sequence[Badge], silent: frozenset[str]) -> Expected:
    perhaps_at = row.holder if row.holder in silent else ""
    return Expected(read_person(row), row.walk_in, tuple(badges), perhaps_at)


def _differs(row: dict[str, object], known: PersonRow) -> bool:
    return (row["columns"], row["listed"], row["search"]) != (known.columns, known.listed, known.search)
