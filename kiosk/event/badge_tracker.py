"""Badges in progress: started on the roster, drawn by the vision worker, printed, and recorded with their outcome.

A badge is made while the next guest may already be in front of the camera; its outcome no longer concerns the session
that it came from.
"""

from __future__ import annotations

import logging
from collections.abc import Iterator
from dataclasses import dataclass, field, replace
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
from kiosk.core.base.ticket import Ticket
from kiosk.core.document.document import Document
from kiosk.core.event.roster import Badge
from kiosk.core.session.commands import PrintBadge
from kiosk.core.session.events import BadgeRefused, BadgeSent, CodeKnown, Event, Found
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
class _Pending:
    """A badge that was ordered; `badge` is set once the roster has started it."""

    order: PrintBadge
    document: Document | None
    still: bytes = field(repr=False)
    badge: Badge | None = None


class BadgeTracker:
    """Tracks every badge from order to outcome; not thread-safe, for the frame loop only."""

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
        self._pending: dict[Ticket, _Pending] = {}
        self._sent: dict[str, Badge] = {}
        self._answers: list[GuestAnswer] = []

    @property
    def are_on_their_way(self) -> bool:
        """Whether a badge was ordered whose end is not known yet."""
        return bool(self._pending or self._sent)

    def begin(self, order: PrintBadge, still: bytes, document: Document | None, arrived_at: datetime) -> None:
        """Start a badge on the roster; the result comes from `events`."""
        self._pending[order.ticket] = _Pending(order, document, still)
        self.desk.begin(order, arrived_at)

    def events(self) -> Iterator[Event]:
        """Yield the roster's answers as events for the session, and submit started badges to the vision worker."""
        for answer in self.desk.poll():
            match answer:
                case Found() | CodeKnown():
                    yield answer
                case GuestsFound() | GuestsNotSearched() | GuestSaved() | GuestDoubled() | GuestNotSaved():
                    self._answers.append(answer)
                case Begun(ticket, badge, values, kept_jpeg):
                    pending = self._pending.pop(ticket)
                    self._pending[ticket] = replace(pending, badge=badge)
                    photo = _photo(pending, kept_jpeg)
                    making = partial(self._bench.badge, photo, self.desk.design, values)
                    self._worker.submit(ticket, making)
                case NotBegun(ticket, error):
                    del self._pending[ticket]
                    yield BadgeRefused(ticket, str(error), error.advice)
                case NotNoted(error):
                    _log.warning("the roster was not updated: %s", error)

    def answers(self) -> list[GuestAnswer]:
        """Return the roster's answers for the attendant since the last call."""
        answers, self._answers = self._answers, []
        return answers

    def owns(self, ticket: Ticket) -> bool:
        """Return whether the vision worker is making a badge under that ticket."""
        pending = self._pending.get(ticket)
        return pending is not None and pending.badge is not None

    def made(self, ticket: Ticket, made: BadgeMade) -> Iterator[Event]:
        """Send a finished badge to the printer."""
        pending = self._pending.pop(ticket)
        assert pending.badge is not None
        self._sent[made.job.key] = pending.badge
        if pending.order.shares and made.photo_jpeg:
            self.desk.keep_photo(pending.order.guest.id, made.photo_jpeg)
        self._ledger.put(SheetBegun(made.job.key, self.desk.design.id, made.job.medium, 1))
        self._prints.submit(made.job)
        yield BadgeSent(ticket)

    def not_made(self, ticket: Ticket, error: KioskError) -> Iterator[Event]:
        """Record a badge that could not be drawn as failed, so that the guest can try again."""
        pending = self._pending.pop(ticket)
        assert pending.badge is not None
        self.desk.end(pending.badge, "failed")
        yield BadgeRefused(ticket, str(error), error.advice)

    def moved(self, status: PrintStatus) -> None:
        """Record the outcome of a badge when the printer reports it."""
        if status.key not in self._sent or status.state not in ("done", "failed"):
            return
        badge = self._sent.pop(status.key)
        if status.state == "done":
            self.desk.end(badge, "printed")
            return
        _log.warning("a badge was not printed: %s", status.error)
        self.desk.end(badge, "unknown" if isinstance(status.error, SheetUnknown) else "failed")


def _photo(pending: _Pending, kept_jpeg: bytes) -> CutPhoto | bytes:
    if pending.order.plan is None or pending.document is None:
        return kept_jpeg
    return CutPhoto(pending.still, pending.order.plan, pending.document)
