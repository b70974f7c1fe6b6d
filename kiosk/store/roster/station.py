"""One of several stations: it uses the shared roster while the network is up, and its own copy while it is not.

The copy holds all people for the search, with a mark on this station's share, whom it may print offline. What was
printed offline is uploaded when the server responds again. No other station has printed these people in the meantime,
unless this one was away beyond its lease and an attendant elsewhere decided so; the roster then has both badges.
"""

from __future__ import annotations

import threading
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
from kiosk.store.server import ANSWER_S
from kiosk.system.clock import Clock

_Answer = TypeVar("_Answer")

LEASE = timedelta(minutes=15)
"""How long a station may print offline; after that, others may take its people over."""

COPY_S = 20.0
"""The maximum age of the copy while the network is up."""

WORTH_ASKING_S = ANSWER_S / 2
"""A search with less time left is answered from the copy at once: to break it off would lose a server that is there."""

_AT_ONCE = 2
"""The threads of a desk: one searches while the other meets the server."""


class Station:
    """A roster shared with other stations.

    `find`, `spell`, `reconnect` and everything else are for a thread each.

    Parameters
    ----------
    url
        URL of the shared database, a PostgreSQL server.
    copy
        URL of this station's own copy, an SQLite file: `sqlite:///FILE`.
    name
        This station's unique name.
    clock
        The booth's clock.
    lease
        How long the station may print offline.
    """

    def __init__(self, url: str, copy: str, name: str, clock: Clock, lease: timedelta = LEASE) -> None:
        self._url = url
        self._name = name
        self._clock = clock
        self._lease = lease
        self._copy = OfflineCopy(Database(copy), name)
        self._offline_roster = Roster(self._copy.database, name, clock)
        self._offline_roster.settle()
        self._shared: Database | None = None
        self._losing = threading.Lock()
        self._reconnected: Database | None = None
        self._leased_until_s = clock.now_s()
        self._copied_s: float | None = None

    @property
    def online(self) -> bool:
        """Whether the shared roster responded to the last request."""
        return self._shared is not None

    @property
    def offline_left_s(self) -> float:
        """The seconds for which this station may still print offline."""
        return max(0.0, self._leased_until_s - self._clock.now_s())

    def close(self) -> None:
        """Close both databases."""
        self._copy.database.close()
        self._lose(self._shared)
        if self._reconnected is not None:
            self._reconnected.close()

    def reconnect(self) -> None:
        """Try to connect to a lost server; blocks until it responds or the attempt times out.

        May be called from a thread of its own, so that nobody waits; the next `beat` takes the connection over.
        """
        if self._shared is None and self._reconnected is None:
            with suppress(RosterUnreachable):
                database = Database(self._url)
                try:
                    database.connect(_AT_ONCE)
                except RosterUnreachable:
                    database.close()
                    raise
                self._reconnected = database

    def beat(self) -> None:
        """Synchronise with the server: upload what was printed offline, exchange shares, refresh the copy.

        To be called about once a second, because requests of other stations wait for it. It does nothing while the
        server is lost.
        """
        began_s = self._clock.now_s()
        if self._shared is None:
            self._shared, self._reconnected = self._reconnected, None
        shared = self._shared
        if shared is None:
            return
        try:
            shares = Leases(shared, self._name, self._lease)
            self._set_clock(shared)
            self._copy.upload(shared)
            shares.renew()
            shares.settle()
            shares.hand_over(self._copy.forget)
            if self._copied_s is None or began_s - self._copied_s >= COPY_S:
                self._copy.download(shared)
                self._copied_s = began_s
            self._copy.set_share(shares.claim_share(), shared)
            # only now has the copy dropped those whom others claimed while no lease ran
            self._leased_until_s = began_s + self._lease.total_seconds()
        except RosterUnreachable:
            self._lose(shared)

    def find(self, text: str, within_s: float = ANSWER_S) -> tuple[Expected, ...]:
        """Return the people with this id or name, as `Roster.find` does; offline or after `within_s`, from the copy."""
        return self._query(lambda roster: roster.find(text, within_s), within_s)

    def spell(self, text: str, within_s: float = ANSWER_S) -> tuple[tuple[Expected, ...], tuple[str, ...]]:
        """Return people and letters, as `Roster.spell` does; offline or after `within_s`, from the copy."""
        return self._query(lambda roster: roster.spell(text, within_s), within_s)

    def person(self, person_id: str) -> Person:
        """Return the person with an id, as `Roster.person` does; offline, from the copy."""
        return self._query(lambda roster: roster.person(person_id))

    def begin(
        self, person_id: str, *, with_photo: bool, reprint: bool = False, arrived_at: datetime | None = None
    ) -> Badge:
        """Start a badge, so that no other station prints it, as `Roster.begin` does.

        Raises
        ------
        HeldElsewhere
            Another station may print it; it is asked for the person, so that trying again in a moment helps. Or this
            station is alone, and the person is not of its share.
        PerhapsPrinted
            A station that is out of touch may have printed it; `reprint` says that an attendant wants it anyway.
        """

        def begun_in(roster: Roster) -> Badge:
            return roster.begin(person_id, with_photo=with_photo, reprint=reprint, arrived_at=arrived_at)

        if (shared := self._shared) is not None:
            try:
                holder = Leases(shared, self._name, self._lease).claim(person_id, is_sure=reprint)
                if holder is not None:
                    raise HeldElsewhere(person=person_id, station=holder, detail="it was asked to give the person over")
                self._copy.learn(person_id, shared)
                badge = begun_in(self._roster(shared))
            except RosterUnreachable:
                self._lose(shared)
            else:
                self._copy.add_badge(badge)
                return badge
        self._check_offline(person_id)
        return begun_in(self._offline_roster)

    def end(self, badge: Badge, state: BadgeState) -> None:
        """Record the outcome of a badge, on the server now or when it responds again."""
        self._offline_roster.end(badge, state)
        if (shared := self._shared) is not None:
            try:
                self._roster(shared).end(badge, state)
            except RosterUnreachable:
                self._lose(shared)

    def add_walk_in(self, person: Person) -> None:
        """Add a person who is not on the list to this station's share, as `Roster.add_walk_in` does."""
        self._offline_roster.add_walk_in(person)
        self._copy.add_to_share(person.id)
        if (shared := self._shared) is not None:
            try:
                self._copy.upload(shared)
            except RosterUnreachable:
                self._lose(shared)

    def change(self, person: Person) -> None:
        """Change a person's values, as `Roster.change` does; every station has them within `COPY_S`.

        Raises
        ------
        RosterUnreachable
            This station is offline and does not know what others have changed.
        """
        if (shared := self._shared) is None:
            raise RosterUnreachable(detail="the network is lost, and a change waits until it is back")
        self._roster(shared).change(person)
        self._copy.download(shared)

    def namesakes(self, name: str) -> tuple[Expected, ...]:
        """Return the people who have this name, as `Roster.namesakes` does; offline, from the copy."""
        return self._query(lambda roster: roster.namesakes(name))

    def everybody(self) -> tuple[Expected, ...]:
        """Return all people with their badges; offline, from the copy."""
        return self._query(lambda roster: tuple(roster.everybody()))

    def _query(self, ask: Callable[[Roster], _Answer], within_s: float = ANSWER_S) -> _Answer:
        shared = self._shared
        if shared is not None and within_s >= WORTH_ASKING_S:
            try:
                return ask(self._roster(shared))
            except RosterUnreachable:
                self._lose(shared)
        return ask(self._offline_roster)

    def _roster(self, database: Database) -> Roster:
        return Roster(database, self._name, self._clock)

    def _check_offline(self, person_id: str) -> None:
        if not self._copy.may_print(person_id):
            detail = "the network is lost, and the person is not in this station's share"
            raise HeldElsewhere(person=person_id, station="another", detail=detail)
        if self.offline_left_s <= 0.0:
            detail = "the network was lost for too long, and others may have taken over"
            raise HeldElsewhere(person=person_id, station="another", detail=detail)

    def _set_clock(self, shared: Database) -> None:
        """Date what is printed alone by the server's clock, so that stations whose clocks differ agree."""
        with shared.transaction() as transaction:
            server = shared.now(transaction)
        if server is not None:
            self._offline_roster.ahead = server - self._clock.now()

    def _lose(self, lost: Database | None) -> None:
        """Go on alone, unless another thread has lost this connection before and the station has a new one."""
        with self._losing:
            if lost is not None and self._shared is lost:
                self._shared = None
                lost.close()
