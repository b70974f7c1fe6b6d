"""One of several stations: the shared roster while the network is there, and a copy of its own while it is not.

The copy holds all people for the search, and marks those of this station's share, whom it may print alone. What was
printed alone is brought to the server when it answers again; it cannot contradict what others did, since nobody else
could print these people meanwhile.
"""

from __future__ import annotations

from collections.abc import Callable
from contextlib import suppress
from datetime import datetime, timedelta
from typing import TypeVar

from kiosk.core.event.roster import Badge, BadgeState, Expected, Person
from kiosk.errors import HeldElsewhere, RosterUnreachable
from kiosk.store.roster.database import Database
from kiosk.store.roster.leases import Leases
from kiosk.store.roster.offline_copy import OfflineCopy
from kiosk.store.roster.roster import Roster
from kiosk.system.clock import Clock

_Answer = TypeVar("_Answer")

LEASE = timedelta(minutes=15)
"""How long a station prints alone after the network is lost; then others may take its people over."""

COPY_S = 20.0
"""How old the copy of the people gets while the network is there."""


class Station:
    """A roster shared with other stations.

    Parameters
    ----------
    url
        Of the shared database, a PostgreSQL server.
    copy
        Of this station's own copy, a file of SQLite: `sqlite:///FILE`.
    name
        This station's, which no other has.
    lease
        How long it prints alone.
    """

    def __init__(self, url: str, copy: str, name: str, clock: Clock, lease: timedelta = LEASE) -> None:
        self._url = url
        self._name = name
        self._clock = clock
        self._lease = lease
        self._copy = OfflineCopy(Database(copy), name)
        self._alone = Roster(self._copy.database, name, clock)
        self._shared: Database | None = None
        self._reached: Database | None = None
        self._leased_until_s = clock.now_s()
        self._copied_s: float | None = None

    @property
    def online(self) -> bool:
        """Whether the shared roster answered last time."""
        return self._shared is not None

    @property
    def alone_for_s(self) -> float:
        """How many seconds this station may still print alone."""
        return max(0.0, self._leased_until_s - self._clock.now_s())

    def close(self) -> None:
        """Let both databases go."""
        self._copy.database.close()
        self._lose()
        if self._reached is not None:
            self._reached.close()

    def reach(self) -> None:
        """Reach for a server that was lost, for as long as it takes to answer or to give up; the next beat meets it.

        Safe from a thread of its own, so that nobody waits behind it.
        """
        if self._shared is None and self._reached is None:
            with suppress(RosterUnreachable):
                self._reached = Database(self._url)

    def beat(self) -> None:
        """Meet the server that was reached: bring it what was printed alone, give and take shares, renew the copy.

        To be called about once a second; another station's wish waits for it.
        """
        began_s = self._clock.now_s()
        if self._shared is None:
            self._shared, self._reached = self._reached, None
        if self._shared is None:
            return
        try:
            shares = Leases(self._shared, self._name, self._lease)
            self._copy.tell(self._shared)
            shares.renew()
            self._leased_until_s = began_s + self._lease.total_seconds()
            shares.give(self._copy.forget)
            if self._copied_s is None or began_s - self._copied_s >= COPY_S:
                self._copy.renew(self._shared)
                self._copied_s = began_s
            self._copy.hold(shares.take_share(), self._shared)
        except RosterUnreachable:
            self._lose()

    def find(self, text: str) -> tuple[Expected, ...]:
        """Return who has this id or such a name, as `Roster.find`; alone, from the copy."""
        return self._either(lambda roster: roster.find(text))

    def next_letters(self, text: str) -> tuple[str, ...]:
        """Return the letters with which a name goes on, as `Roster.next_letters`; alone, from the copy."""
        return self._either(lambda roster: roster.next_letters(text))

    def person(self, person_id: str) -> Person:
        """Return who has an id, as `Roster.person`; alone, from the copy."""
        return self._either(lambda roster: roster.person(person_id))

    def begin(
        self, person_id: str, *, with_photo: bool, reprint: bool = False, arrived_at: datetime | None = None
    ) -> Badge:
        """Begin a badge, so that no other station prints it, as `Roster.begin`.

        Raises
        ------
        HeldElsewhere
            Another station may print it; it is asked for the person, so that trying again in a moment helps. Or this
            station is alone, and the person is not of its share.
        """

        def begun_in(roster: Roster) -> Badge:
            return roster.begin(person_id, with_photo=with_photo, reprint=reprint, arrived_at=arrived_at)

        if self._shared is not None:
            try:
                holder = Leases(self._shared, self._name, self._lease).take(person_id)
                if holder is not None:
                    raise HeldElsewhere(person=person_id, station=holder, detail="it was asked to give the person over")
                badge = begun_in(self._roster(self._shared))
            except RosterUnreachable:
                self._lose()
            else:
                self._copy.note(badge)
                return badge
        self._check_alone(person_id)
        return begun_in(self._alone)

    def end(self, badge: Badge, state: BadgeState) -> None:
        """Note what became of a badge; the server is told now or when it answers."""
        self._alone.end(badge, state)
        if self._shared is not None:
            try:
                self._roster(self._shared).end(badge, state)
            except RosterUnreachable:
                self._lose()

    def add_walk_in(self, person: Person) -> None:
        """Add somebody who is not on the list, at this station's hand, as `Roster.add_walk_in`."""
        self._alone.add_walk_in(person)
        self._copy.hold_also(person.id)
        if self._shared is not None:
            try:
                self._copy.tell(self._shared)
            except RosterUnreachable:
                self._lose()

    def change(self, person: Person) -> None:
        """Give a person other values, as `Roster.change`; every station has them within `COPY_S`.

        Raises
        ------
        RosterUnreachable
            The network is lost: what others have changed meanwhile is not known.
        """
        if self._shared is None:
            raise RosterUnreachable(detail="the network is lost, and a change waits until it is back")
        self._roster(self._shared).change(person)
        self._copy.renew(self._shared)

    def namesakes(self, name: str) -> tuple[Expected, ...]:
        """Return who has a name already, as `Roster.namesakes`; alone, from the copy."""
        return self._either(lambda roster: roster.namesakes(name))

    def everybody(self) -> tuple[Expected, ...]:
        """Return all people with their badges; alone, as the copy has them."""
        return self._either(lambda roster: tuple(roster.everybody()))

    def _either(self, ask: Callable[[Roster], _Answer]) -> _Answer:
        if self._shared is not None:
            try:
                return ask(self._roster(self._shared))
            except RosterUnreachable:
                self._lose()
        return ask(self._alone)

    def _roster(self, database: Database) -> Roster:
        return Roster(database, self._name, self._clock)

    def _check_alone(self, person_id: str) -> None:
        if not self._copy.holds(person_id):
            detail = "the network is lost, and the person is not of this station's share"
            raise HeldElsewhere(person=person_id, station="another", detail=detail)
        if self.alone_for_s <= 0.0:
            detail = "the network was lost for too long, and others may have taken over"
            raise HeldElsewhere(person=person_id, station="another", detail=detail)

    def _lose(self) -> None:
        if self._shared is not None:
            self._shared.close()
            self._shared = None
