"""Which station may print whose badge in a shared roster: every person has at most one holder.

Each station holds a share of the people, so that it can keep working when the network is lost. It hands a person over
when another station asks, and revokes its own right before it updates the server; thus no two stations ever hold the
same person. A share is leased by the server's clock. A station counts its lease from before the request, so that it has
stopped printing when the lease ends. What it printed offline until then is unknown until it responds again: a badge of
its guests may exist, and an attendant decides for each of them, or releases the station that has printed nothing.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable
from datetime import datetime, timedelta

import sqlalchemy as sa
from sqlalchemy.dialects.postgresql import insert

from kiosk.errors import PerhapsPrinted, StationMayPrint
from kiosk.store.roster.database import BADGES, PEOPLE, STATIONS, WISHES, Database

SETTLED = timedelta(minutes=2)
"""How old a badge on its way is when a station that is out of touch no longer prints it: longer than a card takes
(practice)."""


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

    def claim(self, person: str, *, is_sure: bool) -> str | None:
        """Claim an unheld person and return None; otherwise request them and return the station that holds them.

        Parameters
        ----------
        is_sure
            Whether an attendant wants the badge although a station that is out of touch may have printed one.

        Raises
        ------
        PerhapsPrinted
            The holder's lease has ended, and `is_sure` is not set.
        """
        open_to_me = PEOPLE.c.holder.is_(None) | (PEOPLE.c.holder == self._station)
        if is_sure:
            open_to_me |= PEOPLE.c.holder.in_(out_of_touch())
        with self._database.transaction() as transaction:
            taking = sa.update(PEOPLE).where(PEOPLE.c.id == person, open_to_me).values(holder=self._station)
            if transaction.execute(taking).rowcount:
                transaction.execute(sa.delete(WISHES).where(WISHES.c.person == person))
                return None
            found = transaction.execute(sa.select(PEOPLE.c.holder).where(PEOPLE.c.id == person)).first()
            if found is None:
                return None
            silent = out_of_touch().where(STATIONS.c.name == found.holder).add_columns(STATIONS.c.lease_until)
            if (lost := transaction.execute(silent).first()) is not None:
                raise PerhapsPrinted(person=person, station=lost.name, when=_hour(lost.lease_until - self._lease))
            wish = {"person": person, "station": self._station}
            asking = insert(WISHES).values(**wish)
            transaction.execute(asking.on_conflict_do_update(index_elements=["person"], set_=wish))
        return found.holder or "another"

    def settle(self) -> None:
        """Say of the badges that stations out of touch have begun that nobody knows whether they came out."""
        stuck = BADGES.c.station.in_(out_of_touch()) & (BADGES.c.begun_at < sa.func.now() - SETTLED)
        with self._database.transaction() as transaction:
            transaction.execute(_unknown(stuck))

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


def out_of_touch() -> sa.Select[tuple[str]]:
    """Return the question which stations' leases have ended."""
    return sa.select(STATIONS.c.name).where(STATIONS.c.lease_until < sa.func.now())


def release(database: Database, station: str, *, is_off: bool) -> int:
    """Free the guests of a station that is out of touch, for all others; return how many there were.

    Parameters
    ----------
    is_off
        Whether somebody has switched the station off, so that its lease need not end first.

    Raises
    ------
    StationMayPrint
        Its lease runs, and nobody has switched it off.
    """
    known = sa.select(STATIONS.c.lease_until, STATIONS.c.lease_until < sa.func.now()).where(STATIONS.c.name == station)
    with database.transaction() as transaction:
        lease = transaction.execute(known).first()
        if lease is not None and not (is_off or lease[1]):
            raise StationMayPrint(station=station, when=_hour(lease.lease_until))
        transaction.execute(_unknown(BADGES.c.station == station))
        held = sa.select(PEOPLE.c.id).where(PEOPLE.c.holder == station)
        transaction.execute(sa.delete(WISHES).where(WISHES.c.person.in_(held)))
        freed = transaction.execute(sa.update(PEOPLE).where(PEOPLE.c.holder == station).values(holder=None))
        transaction.execute(sa.delete(STATIONS).where(STATIONS.c.name == station))
        return freed.rowcount


def _unknown(which: sa.ColumnElement[bool]) -> sa.Update:
    begun = which & (BADGES.c.state == "begun")
    return sa.update(BADGES).where(begun).values(state="unknown", ended_at=sa.func.now())


def _hour(moment: datetime) -> str:
    return f"{moment.astimezone():%H:%M}"
