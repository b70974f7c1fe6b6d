"""Two stations in random schedules of meetings, guests, cuts, kills and time that passes, on a real server.

The model knows what came out of the printers, which no database does. A badge that nobody asked for a second time never
comes out twice, whatever the network does between two packets; and every badge that came out is on the roster in the
end.
"""

import shutil
import tempfile
import uuid
from pathlib import Path

import pytest
import sqlalchemy as sa
from hypothesis import HealthCheck, settings
from hypothesis import strategies as st
from hypothesis.stateful import RuleBasedStateMachine, initialize, rule, run_state_machine_as_test

from kiosk.core.event.roster import Person
from kiosk.errors import BadgePrinted, HeldElsewhere, PerhapsPrinted, StationMayPrint, UnknownPerson
from kiosk.store.roster.database import BADGES, PEOPLE, STATIONS, WISHES, Database
from kiosk.store.roster.leases import release
from kiosk.store.roster.roster import Roster
from kiosk.store.roster.station import LEASE, Station
from tests.support.manual_clock import ManualClock
from tests.support.postgres_lab import Wire

NAMES = ("one", "two")
GUESTS = tuple(f"P{number}" for number in range(2))
EXPECTED = (HeldElsewhere, BadgePrinted, PerhapsPrinted, UnknownPerson)
PATIENCE_S = 600.0
"""The model itself has no deadlines, on a busy machine."""
SKEWS_S = st.sampled_from([0.0, 600.0, 5000.0])
FEW = 25
"""The same ones every time; more of them, and others each time, are for who looks for faults."""
FOLDER = "/dev/shm" if Path("/dev/shm").is_dir() else None
"""In memory: the copies are synchronised to the disk at every transaction, which is not what is tried here."""


class TwoStations(RuleBasedStateMachine):
    """The stations, what came out of their printers, and what is on its way there."""

    server = None
    url = ""

    def __init__(self):
        super().__init__()
        self.folder = Path(tempfile.mkdtemp(prefix="stations-", dir=FOLDER))
        self.office = Database(self.url)
        self.office._engine.dispose()
        self.office._engine = sa.create_engine(self.url)
        self.office.transaction = lambda *_: Database.transaction(self.office, PATIENCE_S)
        with self.office.transaction() as transaction:
            for table in (WISHES, BADGES, STATIONS, PEOPLE):
                transaction.execute(sa.delete(table))
        people = [Person(key, {"id": key, "name": f"Guest {key}"}) for key in GUESTS]
        Roster(self.office, "office", ManualClock()).import_list(people)
        self.guests = list(GUESTS)
        self.wires = {name: Wire(self.server) for name in NAMES}
        self.stations, self.clocks = {}, {}
        self.on_their_way = {name: [] for name in NAMES}
        self.out = []

    @initialize(skews_s=st.tuples(SKEWS_S, SKEWS_S), meetings=st.integers(0, 3))
    def open(self, skews_s, meetings):
        for name, skew_s in zip(NAMES, skews_s, strict=True):
            self.clocks[name] = ManualClock(skew_s)
            self.start(name)
        for _ in range(meetings):
            for name in NAMES:
                self.meet(name)

    def start(self, name):
        copy, clock = f"sqlite:///{self.folder / name}.db", self.clocks[name]
        self.stations[name] = Station(self.wires[name].url(self.url), copy, name, clock)

    @rule(name=st.sampled_from(NAMES))
    def meet(self, name):
        self.stations[name].reconnect()
        self.stations[name].beat()

    @rule(name=st.sampled_from(NAMES), which=st.integers(0, 9), by_attendant=st.booleans())
    def print_badge(self, name, which, by_attendant):
        """Serve a guest; an attendant who sees that there may be a badge can have one printed all the same."""
        key = self.guests[which % len(self.guests)]
        found = self.stations[name].find(key)
        again = by_attendant and bool(found) and found[0].may_have_badge
        try:
            badge = self.stations[name].begin(key, with_photo=False, reprint=again)
        except EXPECTED:
            return
        assert again or key not in [other.person for other in self.out], f"{key} twice: {[*self.out, badge]}"
        self.on_their_way[name].append(badge)
        self.out.append(badge)

    @rule(name=st.sampled_from(NAMES), state=st.sampled_from(["printed", "printed", "failed", "unknown"]))
    def end(self, name, state):
        if self.on_their_way[name]:
            badge = self.on_their_way[name].pop(0)
            if state == "failed":
                self.out.remove(badge)
            self.stations[name].end(badge, state)

    @rule(name=st.sampled_from(NAMES))
    def walk_in(self, name):
        key = f"W{len(self.guests)}"
        self.stations[name].add_walk_in(Person(key, {"id": key, "name": f"Guest {key}"}))
        self.guests.append(key)

    @rule(name=st.sampled_from(NAMES), replies=st.integers(0, 40))
    def cut(self, name, replies):
        """At once, or between two replies of what comes next."""
        self.wires[name].cut_after(replies) if replies else self.wires[name].cut()

    @rule(name=st.sampled_from(NAMES))
    def mend(self, name):
        self.wires[name].mend()

    @rule(name=st.sampled_from(NAMES))
    def kill(self, name):
        """Let what is on its way come out of a printer whose station does not live to know."""
        self.stations[name].close()
        self.on_their_way[name].clear()
        self.start(name)

    @rule(seconds=st.sampled_from([5.0, 130.0, LEASE.total_seconds() + 1.0]))
    def wait(self, seconds):
        for clock in self.clocks.values():
            clock.sleep(seconds)
        with self.office.transaction() as transaction:
            transaction.execute(sa.text(f"UPDATE lab.clock SET ahead = ahead + interval '{seconds} s'"))

    @rule(name=st.sampled_from(NAMES), which=st.integers(0, 9))
    def stay_away(self, name, which):
        """Print alone, and be away beyond the lease: what random steps alone seldom come to."""
        self.cut(name, 0)
        self.print_badge(name, which, False)
        self.wait(LEASE.total_seconds() + 1.0)

    @rule(name=st.sampled_from(NAMES))
    def release(self, name):
        """Free the guests of a station that has printed nothing that the others do not know."""
        if self.printed_by(name) <= self.on_roster():
            try:
                release(self.office, name, is_off=False)
            except StationMayPrint:
                return

    def printed_by(self, name):
        return {(badge.person, badge.station, badge.begun_at) for badge in self.out if badge.station == name}

    def on_roster(self):
        """Return the badges that the shared roster does not take for failed."""
        kept = sa.select(BADGES).where(BADGES.c.state != "failed")
        with self.office.transaction() as transaction:
            return {(row.person, row.station, row.begun_at) for row in transaction.execute(kept)}

    def teardown(self):
        try:
            for wire in self.wires.values():
                wire.mend()
            for _ in range(3):
                for name in self.stations:
                    self.meet(name)
            for name in self.stations:
                assert self.printed_by(name) <= self.on_roster()
        finally:
            for station in self.stations.values():
                station.close()
            for wire in self.wires.values():
                wire.cut()
                shutil.rmtree(wire.folder)
            self.office.close()
            shutil.rmtree(self.folder)


@pytest.mark.parametrize(
    "schedules", [pytest.param(FEW, id="few"), pytest.param(200, id="many", marks=pytest.mark.slow)]
)
def test_nobody_gets_a_second_badge_unasked_and_no_badge_is_dropped(server, schedules):
    TwoStations.server, TwoStations.url = server, server.database(f"event_{uuid.uuid4().hex[:12]}")
    tried = settings(
        max_examples=schedules,
        stateful_step_count=30,
        deadline=None,
        derandomize=schedules == FEW,
        suppress_health_check=list(HealthCheck),
    )
    run_state_machine_as_test(TwoStations, settings=tried)
