"""Which station may print whose badge in a shared roster: every person has at most one holder.

Each station holds a share of the people, so that it can keep working when the network is lost. It hands a person over
when another station asks, and revokes its own right before it updates the server; thus no two stations ever hold the
same person. A share is leased by the server's clock. A station counts its lease from before the request, so that it has
stopped printing by the time others may take over.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable
from datetime import timedelta

import sqlalchemy as sa
from sqlalchemy.dialects.postgresql import insert

from kiosk.store.roster.database import BADGES, PEOPLE, STATIONS, WISHES, Database


class Leases:
    """One station's share of a roster on a PostgreSQL server."""

    def __init__(self, database: Database, station: str, lease: timedelta) -> None:
        self._database = database
        self._station = station
        self._lease = lease

    def renew(self) -> None:
        """Renew this station's lease."""
        row = {"name": self._station, "lease_until": sa.func.now() + self._lease}
        leased = insert(STATIONS).values(**row)
        with self._database.transaction() as transaction:
            transaction.execute(leased.on_conflict_do_update(index_elements=["name"], set_=row))

    def hand_over(self, forget: Callable[[Iterable[str]], None]) -> None:
        """Release the people whom other stations request, and those beyond an equal share.

        Parameters
        ----------
        forget
            Called first; durably revokes this station's right to print these people offline.
        """
        wished = sa.select(WISHES.c.person, WISHES.c.station).join(PEOPLE, PEOPLE.c.id == WISHES.c.person)
        with self._database.transaction() as transaction:
            requested = dict(transaction.execute(wished.where(PEOPLE.c.holder == self._station)).tuples().all())
            spare = [key for key in self._spare(transaction) if key not in requested]
        if not (requested or spare):
            return
        forget([*requested, *spare])
        with self._database.transaction() as transaction:
            for person, station in requested.items():
                transaction.execute(self._hand(person, station))
            for person in spare:
                transaction.execute(self._hand(person, None))
            transaction.execute(sa.delete(WISHES).where(WISHES.c.person.in_(list(requested))))

    def claim_share(self) -> tuple[str, ...]:
        """Claim unheld people up to an equal share, and return the ids of all whom this station holds."""
        free = sa.select(PEOPLE.c.id).where(PEOPLE.c.holder.is_(None)).order_by(PEOPLE.c.id)
        with self._database.transaction() as transaction:
            room = self._equal_share(transaction) - len(self._held(transaction))
            if room > 0:
                claimed = transaction.execute(free.limit(room).with_for_update(skip_locked=True)).scalars().all()
                mine = sa.update(PEOPLE).where(PEOPLE.c.id.in_(claimed), PEOPLE.c.holder.is_(None))
                transaction.execute(mine.values(holder=self._station))
            return self._held(transaction)

    def claim(self, person: str) -> str | None:
        """Claim a person who is unheld or whose holder's lease has expired, and return None.

        Otherwise file a request for the person, and return the name of the station that holds them.
        """
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
        """Return the ids of people beyond an equal share, chosen from those who have no badge yet."""
        begun = sa.select(BADGES.c.person)
        held = sa.select(PEOPLE.c.id).where(PEOPLE.c.holder == self._station, PEOPLE.c.id.not_in(begun))
        surplus = len(self._held(transaction)) - self._equal_share(transaction)
        return list(transaction.execute(held.order_by(PEOPLE.c.id.desc()).limit(max(0, surplus))).scalars())

    def _equal_share(self, transaction: sa.Connection) -> int:
        """Return the number of people per station with a running lease, rounded up."""
        stations = transaction.execute(
            sa.select(sa.func.count()).select_from(STATIONS).where(STATIONS.c.lease_until >= sa.func.now())
        ).scalar_one()
        people = transaction.execute(sa.select(sa.func.count()).select_from(PEOPLE)).scalar_one()
        return math.ceil(people / max(1, stations))

    def _hand(self, person: str, station: str | None) -> sa.Update:
        return sa.update(PEOPLE).where(PEOPLE.c.id == person, PEOPLE.c.holder == self._station).values(holder=station)
