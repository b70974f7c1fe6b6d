"""The event's desk: a thread that asks the roster, so that the frame loop never waits for a database or a network.

A second thread reaches for a server that is lost, so that a guest's search never waits behind that either.
"""

from __future__ import annotations

from collections.abc import Callable
from concurrent.futures import Executor, Future, ThreadPoolExecutor
from dataclasses import dataclass, field
from datetime import datetime
from functools import partial

from kiosk.core.attendant.state import GuestAnswer, SaveGuest
from kiosk.core.event.badge import BadgeDesign
from kiosk.core.event.roster import Badge, BadgeState, Expected
from kiosk.core.session.events import CodeKnown, Found, PrintBadge, Ticket
from kiosk.core.view.sitter import Guest, Search
from kiosk.errors import KioskError, PhotoGone
from kiosk.event.guest_register import Register
from kiosk.store.roster.photo_export import PhotoExport, delete_if_due
from kiosk.store.roster.roster import Roster
from kiosk.store.roster.station import Station
from kiosk.system.clock import Clock

SHOWN = 6
"""How many guests are shown for the letters so far."""

BEAT_S = 1.0


@dataclass(frozen=True, slots=True)
class Begun:
    """No other station prints this guest's badge now; `values` are what it says, `kept_jpeg` a photo that was kept."""

    ticket: Ticket
    badge: Badge
    values: dict[str, str] = field(repr=False)
    kept_jpeg: bytes = field(default=b"", repr=False)


@dataclass(frozen=True, slots=True)
class NotBegun:
    """The guest's badge is not to be printed here and now."""

    ticket: Ticket
    error: KioskError


@dataclass(frozen=True, slots=True)
class NotNoted:
    """What had become of a badge could not be noted, or a photo not be kept."""

    error: KioskError


RosterAnswer = Found | CodeKnown | GuestAnswer | Begun | NotBegun | NotNoted


class RosterWorker:
    """What a booth needs of an event; every method but `close` returns at once, and its answer comes from `poll`.

    Parameters
    ----------
    design
        Of the badges.
    roster
        The event's, of this station alone or shared with others.
    photos
        Where the photos go of those who let the organiser have them; None where no organiser asks.
    thread
        What does one thing after the other; a thread of its own by default.
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
        self._reaching = ThreadPoolExecutor(1, "roster server")
        self._asked: list[Future[RosterAnswer | None]] = []
        self._beat: Future[RosterAnswer | None] | None = None
        self._reach: Future[None] | None = None
        self._roster = roster
        self._clock = clock
        self._photos = photos
        self._register = Register(roster, design, photos)
        self._beat_s: float | None = None

    def find(self, query: str) -> None:
        """Search the roster for the beginning of a name, or for an id."""
        self._ask(partial(self._find, query))

    def look_up(self, code: str) -> None:
        """Look for the person whose id a code is."""
        self._ask(partial(self._look_up, code))

    def search_guests(self, query: str) -> None:
        """Search the roster for the attendant."""
        self._ask(partial(self._register.search, query))

    def save_guest(self, wanted: SaveGuest) -> None:
        """Write somebody into the roster for the attendant."""
        self._ask(partial(self._register.save, wanted))

    def begin(self, wanted: PrintBadge, arrived_at: datetime) -> None:
        """Begin a guest's badge."""
        self._ask(partial(self._begin, wanted, arrived_at))

    def end(self, badge: Badge, state: BadgeState) -> None:
        """Note what became of a badge."""
        self._ask(partial(self._end, badge, state))

    def keep_photo(self, guest_id: str, jpeg: bytes) -> None:
        """Keep a photo for the organiser, whom the guest lets have it."""
        if self._photos is not None:
            self._ask(partial(self._keep, self._photos, guest_id, jpeg))

    def poll(self) -> list[RosterAnswer]:
        """Return the answers since the last call; meet the other stations, and keep the promised day, now and then."""
        now_s = self._clock.now_s()
        if self._beat_s is None or now_s - self._beat_s >= BEAT_S:
            self._beat_s = now_s
            self._meet()
        ended = [future for future in self._asked if future.done()]
        self._asked = [future for future in self._asked if future not in ended]
        return [answer for future in ended if (answer := _answer(future)) is not None]

    def close(self) -> None:
        """Do what was asked, then let the roster go; a server that is lost is not waited for."""
        self._reaching.shutdown(wait=False, cancel_futures=True)
        self._thread.shutdown()
        self._roster.close()

    def _ask(self, job: Callable[[], RosterAnswer | None]) -> None:
        self._asked.append(self._thread.submit(job))

    def _meet(self) -> None:
        """Do once more what is done about once a second, unless the last time has not ended."""
        if self._beat is None or self._beat.done():
            self._beat = self._thread.submit(self._note_beat)
            self._asked.append(self._beat)
        roster = self._roster
        if isinstance(roster, Station) and not roster.online and (self._reach is None or self._reach.done()):
            self._reach = self._reaching.submit(roster.reconnect)

    def _find(self, query: str) -> Found:
        found = self._roster.find(query) if query.strip() else ()
        letters = self._roster.next_letters(query)
        return Found(Search(query, tuple(_guest(one) for one in found[:SHOWN]), letters))

    def _look_up(self, code: str) -> CodeKnown:
        found = (one for one in self._roster.find(code) if one.person.id == code.strip())
        return CodeKnown(code, next(map(_guest, found), None))

    def _begin(self, wanted: PrintBadge, arrived_at: datetime) -> RosterAnswer:
        guest_id = wanted.guest.id
        try:
            kept = self._kept(guest_id) if wanted.from_kept else b""
            with_photo = wanted.plan is not None or bool(kept)
            badge = self._roster.begin(guest_id, with_photo=with_photo, reprint=wanted.again, arrived_at=arrived_at)
            return Begun(wanted.ticket, badge, dict(self._roster.person(guest_id).values), kept)
        except KioskError as error:
            return NotBegun(wanted.ticket, error)

    def _kept(self, guest_id: str) -> bytes:
        jpeg = self._photos.get(guest_id) if self._photos is not None else None
        if jpeg is None:
            raise PhotoGone(person=guest_id)
        return jpeg

    def _end(self, badge: Badge, state: BadgeState) -> None:
        self._roster.end(badge, state)

    def _keep(self, photos: PhotoExport, guest_id: str, jpeg: bytes) -> None:
        photos.put(guest_id, jpeg)

    def _note_beat(self) -> None:
        if isinstance(self._roster, Station):
            self._roster.beat()
        if self._photos is not None:
            delete_if_due(self._photos.folder, self._clock.today())


def _answer(future: Future[RosterAnswer | None]) -> RosterAnswer | None:
    """Return what a job answered; an error that nobody expected is raised."""
    try:
        return future.result()
    except KioskError as error:
        return NotNoted(error)


def _guest(expected: Expected) -> Guest:
    person = expected.person
    return Guest(person.id, person.name, person.values.get("organisation", ""), expected.printed is not None)
