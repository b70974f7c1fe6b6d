"""Which station may print whom, in a roster that several share: every person has one holder, or none yet.

A station holds a share of the people so that it can go on alone when the network is lost. It gives away whom another
station asks for, and it forgets them itself before it tells the server: at no moment do two stations hold one person.
A share is leased by the server's clock. A station counts its lease from before it asked for it, so that it has stopped
printing when others may take over.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable
from datetime import timedelta

import sqlalchemy as sa
from sqlalchemy.dialects.postgresql import insert

from kiosk.store.roster.database import BADGES, PEOPLE, STATIONS, WISHES, Database


class Leases:
    """What one station holds of a shared roster, on a PostgreSQL server."""

    def __init__(self, database: Database, station: str, lease: timedelta) -> None:
        self._database = database
        self._station = station
        self._lease = lease

    def renew(self) -> None:
        """Lease what this station holds anew."""
        row = {"name": self._station, "lease_until": sa.func.now() + self._lease}
        leased = insert(STATIONS).values(**row)
        with self._database.transaction() as transaction:
            transaction.execute(leased.on_conflict_do_update(index_elements=["name"], set_=row))

    def give(self, forget: Callable[[Iterable[str]], None]) -> None:
        """Give away whom others ask for, and what is more than an equal share; `forget` comes first.

        Parameters
        ----------
        forget
            Makes this station unable to print these people on its own, for good, before it returns.
        """
        wished = sa.select(WISHES.c.person, WISHES.c.station).join(PEOPLE, PEOPLE.c.id == WISHES.c.person)
        with self._database.transaction() as transaction:
            asked = dict(transaction.execute(wished.where(PEOPLE.c.holder == self._station)).tuples().all())
            spare = [key for key in self._spare(transaction) if key not in asked]
        if not (asked or spare):
            return
        forget([*asked, *spare])
        with self._database.transaction() as transaction:
            for person, station in asked.items():
                transaction.execute(self._hand(person, station))
            for person in spare:
                transaction.execute(self._hand(person, None))
            transaction.execute(sa.delete(WISHES).where(WISHES.c.person.in_(list(asked))))

    def take_share(self) -> tuple[str, ...]:
        """Take free people up to an equal share, and return all whom this station holds."""
        free = sa.select(PEOPLE.c.id).where(PEOPLE.c.holder.is_(None)).order_by(PEOPLE.c.id)
        with self._database.transaction() as transaction:
            room = self._equal_share(transaction) - len(self._held(transaction))
            if room > 0:
                wanted = transaction.execute(free.limit(room).with_for_update(skip_locked=True)).scalars().all()
                mine = sa.update(PEOPLE).where(PEOPLE.c.id.in_(wanted), PEOPLE.c.holder.is_(None))
                transaction.execute(mine.values(holder=self._station))
            return self._held(transaction)

    def take(self, person: str) -> str | None:
        """Take a person who is free, or whose holder's lease has ended; else ask for them and return who holds them."""
        ended = sa.select(STATIONS.c.name).where(STATIONS.c.lease_until < sa.func.now())
        open_to_me = PEOPLE.c.holder.is_(None) | (PEOPLE.c.holder == self._station) | PEOPLE.c.holder.in_(ended)
        with self._database.transaction() as transaction:
            taking = sa.update(PEOPLE).where(PEOPLE.c.id == person, open_to_me).values(holder=self._station)
            if transaction.execute(taking).rowcount:
                transaction.execute(sa.delete(WISHES).where(WISHES.c.person == person))
                return None
            holder = transaction.execute(sa.select(PEOPLE.c.holder).where(PEOPLE.c.id == person)).scalar()
            wish = {"person": person, "station": self._station}
            asking = insert(WISHES).values(**wish)
            transaction.execute(asking.on_conflict_do_update(index_elements=["person"], set_=wish))
        return holder

    def _held(self, transaction: sa.Connection) -> tuple[str, ...]:
        held = sa.select(PEOPLE.c.id).where(PEOPLE.c.holder == self._station).order_by(PEOPLE.c.id)
        return tuple(transaction.execute(held).scalars())

    def _spare(self, transaction: sa.Connection) -> list[str]:
        """Return whom this station holds beyond an equal share; those without a badge, who are still to come."""
        begun = sa.select(BADGES.c.person)
        held = sa.select(PEOPLE.c.id).where(PEOPLE.c.holder == self._station, PEOPLE.c.id.not_in(begun))
        surplus = len(self._held(transaction)) - self._equal_share(transaction)
        return list(transaction.execute(held.order_by(PEOPLE.c.id.desc()).limit(max(0, surplus))).scalars())

    def _equal_share(self, transaction: sa.Connection) -> int:
        """Return the share of each station whose lease runs."""
        stations = transaction.execute(
            sa.select(sa.func.count()).select_from(STATIONS).where(STATIONS.c.lease_until >= sa.func.now())
        ).scalar_one()
        people = transaction.execute(sa.select(sa.func.count()).select_from(PEOPLE)).scalar_one()
        return math.ceil(people / max(1, stations))

    def _hand(self, person: str, station: str | None) -> sa.Update:
        return sa.update(PEOPLE).where(PEOPLE.c.id == person, PEOPLE.c.holder == self._station).values(holder=station)
