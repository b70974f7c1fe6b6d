"""Many stations on one PostgreSQL: the roster's own thread of each in a process of its own, and guests who come to any.

The guests hold up a code or touch three letters. What is measured is how long a station waits for its roster: from the
question to the answer, with the queue of its one thread and a person's second touch where another station holds them.
"""

from __future__ import annotations

import multiprocessing
import random
import statistics
import tempfile
import time
from collections import Counter
from collections.abc import Iterator
from contextlib import closing
from dataclasses import dataclass, field
from multiprocessing.queues import Queue
from multiprocessing.synchronize import Event
from pathlib import Path
from typing import Any

from kiosk.catalogue.badge_designs import read_design
from kiosk.core.base.ticket import Ticket
from kiosk.core.event.roster import Person, search_key
from kiosk.core.session.commands import PrintBadge
from kiosk.core.session.events import CodeKnown, Found
from kiosk.core.view.choice import Guest
from kiosk.errors import HeldElsewhere
from kiosk.event.roster_worker import Begun, NotBegun, RosterAnswer, RosterWorker
from kiosk.store.roster.database import Database
from kiosk.store.roster.roster import Roster
from kiosk.store.roster.station import Station
from kiosk.system.clock import SystemClock
from tests.support.invented_names import invented_names
from tests.support.manual_clock import ManualClock
from tests.support.postgres_lab import postgres

DESIGN = Path(__file__).parents[2] / "specs" / "badges" / "card-photo-left.toml"
MEET_S = 5.0
"""How long the stations meet the server before the first guest comes: a share is claimed within some beats."""
AGAIN_S = 0.5
"""After which a guest touches again whom another station still holds."""
TURN_S = 1 / 30
"""A turn of the frame loop, in which it looks for answers."""
ROWS = 2000
"""People on the list who do not come, beside those who do."""
KINDS = ("code", "letters", "begin")


@dataclass
class Work:
    """What a station did: the seconds of each question, its guests' times, and when it was alone."""

    station: str
    waits_s: dict[str, list[float]] = field(default_factory=lambda: {kind: [] for kind in KINDS})
    begun_at_s: list[float] = field(default_factory=list)
    refused: Counter[str] = field(default_factory=Counter)
    alone_s: list[float] = field(default_factory=list)
    back_s: list[float] = field(default_factory=list)


class StationAtWork:
    """A station with its roster's thread, and its guests."""

    def __init__(self, name: str, url: str, folder: Path) -> None:
        self.work = Work(name)
        self.clock = SystemClock()
        self.station = Station(url, f"sqlite:///{folder / name}.db", name, self.clock)
        self.roster = RosterWorker(read_design(DESIGN), self.station, self.clock, None)
        self.was_online = False

    def until(self, end_s: float) -> None:
        """Let time pass as in the loop."""
        while time.monotonic() < end_s:
            self.turn()

    def turn(self) -> list[RosterAnswer]:
        """Take a turn of the loop, and return the answers."""
        answers = self.roster.poll()
        if self.station.online != self.was_online:
            self.was_online = self.station.online
            (self.work.back_s if self.was_online else self.work.alone_s).append(time.monotonic())
        time.sleep(TURN_S)
        return answers

    def answer(self, *kinds: type) -> Any:
        """Return the next answer of a kind."""
        while True:
            for answer in self.turn():
                if isinstance(answer, kinds):
                    return answer

    def serve(self, person: Person, *, by_code: bool) -> None:
        """Find a guest, and print the badge as soon as this station may."""
        began_s = time.monotonic()
        if by_code:
            self.roster.look_up(person.id)
            self.answer(CodeKnown)
            self.note("code", began_s)
        else:
            key = search_key(person.name)
            for length in range(1, 4):
                began_s = time.monotonic()
                self.roster.find(key[:length])
                self.answer(Found)
                self.note("letters", began_s)
        began_s = time.monotonic()
        while True:
            order = PrintBadge(Ticket(1), Guest(person.id, person.name), None, shares=False)
            self.roster.begin(order, self.clock.now())
            answer = self.answer(Begun, NotBegun)
            if isinstance(answer, Begun):
                break
            self.work.refused[type(answer.error).__name__] += 1
            if not isinstance(answer.error, HeldElsewhere):
                return
            self.until(time.monotonic() + AGAIN_S)
        self.note("begin", began_s)
        self.work.begun_at_s.append(time.monotonic())
        self.roster.end(answer.badge, "printed")

    def note(self, kind: str, began_s: float) -> None:
        """Note how long an answer was waited for."""
        self.work.waits_s[kind].append(time.monotonic() - began_s)


def run_station(
    name: str, url: str, folder: Path, guests: list[Person], each_s: float, done: Queue[Work], over: Event
) -> None:
    """Serve guests, one every `each_s` if there is time, report, and hand people over to others until it is over."""
    chance = random.Random(name)
    at_work = StationAtWork(name, url, folder)
    with closing(at_work.roster):
        at_work.until(time.monotonic() + MEET_S)
        due_s = time.monotonic()
        for number, person in enumerate(guests):
            at_work.until(due_s + (number + chance.random()) * each_s)
            at_work.serve(person, by_code=number % 2 == 0)
        while not at_work.station.online:
            at_work.turn()
        done.put(at_work.work)
        while not over.is_set():
            at_work.turn()


def people_of(guests: int, seed: int) -> list[Person]:
    """Return invented people, the guests first."""
    names = invented_names(guests + ROWS, seed)
    return [Person(f"EV{n:05d}", {"id": f"EV{n:05d}", "name": name}) for n, (_, name) in enumerate(names)]


def run_stations(stations: int, guests: int, minutes: float, restart_s: float, seed: int) -> Iterator[str]:
    """Serve the guests at all stations together, restart the server in the middle, and yield the lines of a table.

    Parameters
    ----------
    stations, guests
        How many of each; the guests come to the stations by turns, whoever holds them.
    minutes
        In which they come.
    restart_s
        How long the server is down in the middle; 0 leaves it up.
    seed
        Of the names.
    """
    people = people_of(guests, seed)
    context = multiprocessing.get_context("forkserver")
    with tempfile.TemporaryDirectory() as folder, postgres() as server:
        url = server.database("event")
        with closing(Roster(Database(url), "office", ManualClock())) as office:
            office.import_list(people)
        done: Queue[Work] = context.Queue()
        over = context.Event()
        each_s = 60 * minutes * stations / guests
        processes = [
            context.Process(
                target=run_station,
                args=(f"station {n:02}", url, Path(folder), people[:guests][n::stations], each_s, done, over),
                daemon=True,
            )
            for n in range(stations)
        ]
        for process in processes:
            process.start()
        down_s = up_s = 0.0
        if restart_s:
            time.sleep(MEET_S + 30 * minutes)
            down_s = time.monotonic()
            server.stop()
            time.sleep(restart_s)
            server.start()
            up_s = time.monotonic()
        works = [done.get(timeout=7200) for _ in processes]
        over.set()
        for process in processes:
            process.join()
        with closing(Database(url)) as database:
            everybody = list(Roster(database, "office", ManualClock()).everybody())
    yield from _table(works, [len(one.badges) for one in everybody[:guests]], down_s, up_s)


def _table(works: list[Work], badges: list[int], down_s: float, up_s: float) -> Iterator[str]:
    printed = sorted(moment for work in works for moment in work.begun_at_s)
    span_s = printed[-1] - printed[0]
    rate = 3600 * len(printed) / span_s
    yield f"{len(printed)} badges at {len(works)} stations in {span_s / 60:.1f} minutes: {rate:.0f} an hour"
    once, more = (sum(is_so(count) for count in badges) for is_so in (lambda n: n == 1, lambda n: n > 1))
    yield f"{once} guests with one badge, {more} with more\n"
    yield "| waiting at the database | questions | median, ms | 95 %, ms | 99 %, ms | longest, s |"
    yield "|---|---|---|---|---|---|"
    for kind in KINDS:
        waits = sorted(wait for work in works for wait in work.waits_s[kind])
        cuts = statistics.quantiles(waits, n=100, method="inclusive")
        row = " | ".join(f"{1000 * cuts[share - 1]:.0f}" for share in (50, 95, 99))
        yield f"| {kind} | {len(waits)} | {row} | {waits[-1]:.1f} |"
    refused = sum((work.refused for work in works), Counter[str]())
    yield f"\nasked again: {', '.join(f'{name} {count}' for name, count in refused.items()) or 'never'}"
    if down_s:
        alone = sum(any(down_s <= moment <= up_s + 5 for moment in work.alone_s) for work in works)
        backs = [min((moment for moment in work.back_s if moment >= down_s), default=up_s) - up_s for work in works]
        meanwhile = sum(down_s <= moment <= up_s for moment in printed)
        yield (
            f"server down for {up_s - down_s:.1f} s: {alone} stations went on alone and printed {meanwhile} badges; "
            f"back after {statistics.median(backs):.1f} s (median), {max(backs):.1f} s (last)"
        )
