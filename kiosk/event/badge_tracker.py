"""The badges on their way: begun on the roster, made by the vision worker, sent to the printer, and noted.

A badge goes on its way while the next guest is already before the camera; what becomes of it no longer touches the
session that it came from.
"""

from __future__ import annotations

import logging
from collections.abc import Iterator
from dataclasses import dataclass, field
from datetime import datetime
from functools import partial

from kiosk.core.attendant.state import (
    GuestAnswer,
    GuestDoubled,
    GuestNotSaved,
    GuestSaved,
    GuestsFound,
    GuestsNotSearched,
)
from kiosk.core.document.document import Document
from kiosk.core.event.roster import Badge
from kiosk.core.session.events import BadgeRefused, BadgeSent, CodeKnown, Event, Found, PrintBadge, Ticket
from kiosk.core.session.facts import Ledger, SheetBegun
from kiosk.devices.base import PrintStatus
from kiosk.devices.printer.queue import PrintQueue
from kiosk.errors import KioskError, SheetUnknown
from kiosk.event.roster_worker import Begun, NotBegun, NotNoted, RosterWorker
from kiosk.pipeline.picture_jobs import BadgeMade, CutPhoto, JobResult, PictureJobs, Seeing
from kiosk.pipeline.worker import Worker
from kiosk.system.clock import Clock

_log = logging.getLogger(__name__)


@dataclass(frozen=True)
class _Due:
    """A badge that is wanted, and after a while begun."""

    wanted: PrintBadge
    document: Document | None
    still: bytes = field(repr=False)
    badge: Badge | None = None


class BadgeTracker:
    """Where each badge of the desk is; for the frame loop's thread alone."""

    def __init__(
        self,
        desk: RosterWorker,
        worker: Worker[Seeing, JobResult],
        picture_jobs: PictureJobs,
        prints: PrintQueue,
        ledger: Ledger,
        clock: Clock,
    ) -> None:
        self.desk = desk
        self._worker = worker
        self._bench = picture_jobs
        self._prints = prints
        self._ledger = ledger
        self._clock = clock
        self._due: dict[Ticket, _Due] = {}
        self._sent: dict[str, Badge] = {}
        self._answers: list[GuestAnswer] = []

    def begin(self, wanted: PrintBadge, still: bytes, document: Document | None, arrived_at: datetime) -> None:
        """Begin a badge on the roster; what comes of it comes from `events`."""
        self._due[wanted.ticket] = _Due(wanted, document, still)
        self.desk.begin(wanted, arrived_at)

    def events(self) -> Iterator[Event]:
        """Yield what the desk has answered, and hand begun badges to the worker."""
        for answer in self.desk.poll():
            match answer:
                case Found() | CodeKnown():
                    yield answer
                case GuestsFound() | GuestsNotSearched() | GuestSaved() | GuestDoubled() | GuestNotSaved():
                    self._answers.append(answer)
                case Begun(ticket, badge, values, kept_jpeg):
                    due = self._due.pop(ticket)
                    self._due[ticket] = _Due(due.wanted, due.document, due.still, badge)
                    photo = _photo(due, kept_jpeg)
                    making = partial(self._bench.badge, photo, self.desk.design, values)
                    self._worker.submit(ticket, making)
                case NotBegun(ticket, error):
                    del self._due[ticket]
                    yield BadgeRefused(ticket, str(error), error.advice)
                case NotNoted(error):
                    _log.warning("desk: %s", error)

    def answers(self) -> list[GuestAnswer]:
        """Return what the roster has answered the attendant since the last call."""
        answers, self._answers = self._answers, []
        return answers

    def owns(self, ticket: Ticket) -> bool:
        """Return whether the worker makes a badge for that ticket."""
        due = self._due.get(ticket)
        return due is not None and due.badge is not None

    def made(self, ticket: Ticket, made: BadgeMade) -> Iterator[Event]:
        """Send a finished badge to the printer."""
        due = self._due.pop(ticket)
        assert due.badge is not None
        self._sent[made.job.key] = due.badge
        if due.wanted.shares and made.photo_jpeg:
            self.desk.keep_photo(due.wanted.guest.id, made.photo_jpeg)
        self._ledger.put(SheetBegun(made.job.key, self.desk.design.id, made.job.medium, 1))
        self._prints.submit(made.job)
        yield BadgeSent(ticket)

    def not_made(self, ticket: Ticket, error: KioskError) -> Iterator[Event]:
        """Give a badge up that cannot be made; the guest can be found again."""
        due = self._due.pop(ticket)
        assert due.badge is not None
        self.desk.end(due.badge, "failed")
        yield BadgeRefused(ticket, str(error), error.advice)

    def moved(self, status: PrintStatus) -> None:
        """Note what became of a badge at the printer."""
        if status.key not in self._sent or status.state not in ("done", "failed"):
            return
        badge = self._sent.pop(status.key)
        if status.state == "done":
            self.desk.end(badge, "printed")
            return
        _log.warning("a badge was not printed: %s", status.error)
        self.desk.end(badge, "unknown" if isinstance(status.error, SheetUnknown) else "failed")


def _photo(due: _Due, kept_jpeg: bytes) -> CutPhoto | bytes:
    if due.wanted.plan is None or due.document is None:
        return kept_jpeg
    return CutPhoto(due.still, due.wanted.plan, due.document)
