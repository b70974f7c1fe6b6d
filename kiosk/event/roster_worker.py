"""The threads that use an event's roster, so that the frame loop never waits for a database or a network.

One begins badges and meets the other stations, one searches, and one reconnects to a lost server. So a guest's search
never waits for the many questions of a meeting, which take ten seconds on a slow network.
"""

from __future__ import annotations

from collections.abc import Callable
from concurrent.futures import Executor, Future, ThreadPoolExecutor
from dataclasses import dataclass, field
from datetime import datetime
from functools import partial

from kiosk.core.attendant.state import GuestAnswer, SaveGuest
from kiosk.core.base.ticket import Ticket
from kiosk.core.event.badge import BadgeDesign
from kiosk.core.event.roster import Badge, BadgeState, Expected
from kiosk.core.session.commands import PrintBadge
from kiosk.core.session.events import CodeKnown, Found
from kiosk.core.view.choice import Guest, Search
from kiosk.errors import KioskError, PhotoGone
from kiosk.event.guest_register import Register
from kiosk.store.roster.photo_export import PhotoExport, delete_if_due
from kiosk.store.roster.roster import Roster
from kiosk.store.roster.station import Station
from kiosk.store.server import ANSWER_S
from kiosk.system.clock import Clock

SHOWN = 6
"""The number of guests shown for the letters typed so far."""

BEAT_S = 1.0
"""The interval between synchronisations with the other stations."""


@dataclass(frozen=True, slots=True)
class Begun:
    """A guest's badge was started, and no other station will print it.

    `values` are the columns to print, `kept_jpeg` the stored photo if one is to be reused.
    """

    ticket: Ticket
    badge: Badge
    values: dict[str, str] = field(repr=False)
    kept_jpeg: bytes = field(default=b"", repr=False)


@dataclass(frozen=True, slots=True)
class NotBegun:
    """A guest's badge was not started, so it must not be printed."""

    ticket: Ticket
    error: KioskError


@dataclass(frozen=True, slots=True)
class NotNoted:
    """The outcome of a badge could not be recorded, or a photo could not be stored."""

    error: KioskError


RosterAnswer = Found | CodeKnown | GuestAnswer | Begun | NotBegun | NotNoted


class RosterWorker:
    """The event's roster for the frame loop: no method except `close` blocks, and `poll` returns the answers.

    Parameters
    ----------
    design
        The design of the badges.
    roster
        The event's roster, of this station only or shared with others.
    clock
        The booth's clock.
    photos
        Where to store the photos that guests share with the organiser; None if no organiser asks for photos.
    thread
        An executor that runs one job after the other; by default two, each with a thread of its own.
    """

    def __init__(
        self,
        design: BadgeDesign,
        roster: Roster | Station,
        clock: Clock,
        photos: PhotoExport | None,
        thread: Executor | None = None,
    ) -> None:
        self.design = design
        self._thread = thread or ThreadPoolExecutor(1, "roster")
        self._searching = thread or ThreadPoolExecutor(1, "roster search")
        self._reconnecting = ThreadPoolExecutor(1, "roster server")
        self._queries: list[Future[RosterAnswer | None]] = []
        self._guests_search: Future[RosterAnswer | None] | None = None
        self._attendants_search: Future[RosterAnswer | None] | None = None
        self._beat: Future[RosterAnswer | None] | None = None
        self._reconnect: Future[None] | None = None
        self._roster = roster
        self._clock = clock
        self._photos = photos
        self._register = Register(roster, design, photos)
        self._beat_s: float | None = None

    def find(self, query: str) -> None:
        """Search the roster for the beginning of a name, or for an id, in place of a search that has not begun."""
        self._guests_search = self._search(partial(self._find, query), self._guests_search)

    def look_up(self, code: str) -> None:
        """Look up the person whose id was read from a code."""
        self._search(partial(self._look_up, code))

    def search_guests(self, query: str) -> None:
        """Search the roster for the attendant, in place of a search that has not begun."""
        self._attendants_search = self._search(partial(self._register.search, query), self._attendants_search)

    def save_guest(self, wanted: SaveGuest) -> None:
        """Write a guest to the roster for the attendant."""
        self._ask(partial(self._register.save, wanted))

    def begin(self, wanted: PrintBadge, arrived_at: datetime) -> None:
        """Start a guest's badge."""
        self._ask(partial(self._begin, wanted, arrived_at))

    def end(self, badge: Badge, state: BadgeState) -> None:
        """Record the outcome of a badge."""
        self._ask(partial(self._end, badge, state))

    def keep_photo(self, guest_id: str, jpeg: bytes) -> None:
        """Store a photo that the guest shares with the organiser."""
        if self._photos is not None:
            self._ask(partial(self._keep, self._photos, guest_id, jpeg))

    def poll(self) -> list[RosterAnswer]:
        """Return the answers since the last call; every `BEAT_S`, synchronise and delete photos that are due."""
        now_s = self._clock.now_s()
        if self._beat_s is None or now_s - self._beat_s >= BEAT_S:
            self._beat_s = now_s
            self._synchronise()
        ended = [future for future in self._queries if future.done()]
        self._queries = [future for future in self._queries if future not in ended]
        answered = (_answer(future) for future in ended if not future.cancelled())
        return [answer for answer in answered if answer is not None]

    def close(self) -> None:
        """Finish all queued jobs and close the roster; does not wait for a lost server."""
        self._reconnecting.shutdown(wait=False, cancel_futures=True)
        self._searching.shutdown(cancel_futures=True)
        self._thread.shutdown()
        self._roster.close()

    def _ask(self, job: Callable[[], RosterAnswer | None]) -> None:
        self._queries.append(self._thread.submit(job))

    def _search(
        self, job: Callable[[float], RosterAnswer | None], before: Future[RosterAnswer | None] | None = None
    ) -> Future[RosterAnswer | None]:
        """Submit a search that has `ANSWER_S` from now, whatever it waits for, in place of one `before`."""
        if before is not None:
            before.cancel()
        until_s = self._clock.now_s() + ANSWER_S
        search = self._searching.submit(lambda: job(until_s - self._clock.now_s()))
        self._queries.append(search)
        return search

    def _synchronise(self) -> None:
        """Submit the next beat, unless the last one is still running: beats must never queue up before searches."""
        if self._beat is None or self._beat.done():
            self._beat = self._thread.submit(self._run_beat)
            self._queries.append(self._beat)
        roster = self._roster
        if isinstance(roster, Station) and not roster.online and (self._reconnect is None or self._reconnect.done()):
            self._reconnect = self._reconnecting.submit(roster.reconnect)

    def _find(self, query: str, within_s: float) -> Found:
        found, letters = self._roster.spell(query, within_s)
        return Found(Search(query, tuple(_guest(one) for one in found[:SHOWN]), letters))

    def _look_up(self, code: str, within_s: float) -> CodeKnown:
        found = (one for one in self._roster.find(code, within_s) if one.person.id == code.strip())
        return CodeKnown(code, next(map(_guest, found), None))

    def _begin(self, wanted: PrintBadge, arrived_at: datetime) -> RosterAnswer:
        guest_id = wanted.guest.id
        try:
            kept_jpeg = self._kept_photo(guest_id) if wanted.from_kept else b""
            with_photo = wanted.plan is not None or bool(kept_jpeg)
            badge = self._roster.begin(guest_id, with_photo=with_photo, reprint=wanted.again, arrived_at=arrived_at)
            return Begun(wanted.ticket, badge, dict(self._roster.person(guest_id).values), kept_jpeg)
        except KioskError as error:
            return NotBegun(wanted.ticket, error)

    def _kept_photo(self, guest_id: str) -> bytes:
        jpeg = self._photos.get(guest_id) if self._photos is not None else None
        if jpeg is None:
            raise PhotoGone(person=guest_id)
        return jpeg

    def _end(self, badge: Badge, state: BadgeState) -> None:
        self._roster.end(badge, state)

    def _keep(self, photos: PhotoExport, guest_id: str, jpeg: bytes) -> None:
        photos.put(guest_id, jpeg)

    def _run_beat(self) -> None:
        if isinstance(self._roster, Station):
            self._roster.beat()
        if self._photos is not None:
            delete_if_due(self._photos.folder, self._clock.today())


def _answer(future: Future[RosterAnswer | None]) -> RosterAnswer | None:
    """Return a job's answer, with the expected kinds of errors as `NotNoted`; any other error is raised."""
    try:
        return future.result()
    except KioskError as error:
        return NotNoted(error)


def _guest(expected: Expected) -> Guest:
    person = expected.person
    return Guest(person.id, person.name, person.values.get("organisation", ""), expected.may_have_badge)
