"""The session's commands, each given to the part that does it, and what comes back of those that take time.

The session's files are written, read and wiped by the vision worker's thread, in the order of the commands: a disk may
be slow or full, and the frame loop waits for nothing.
"""

from __future__ import annotations

import logging
from collections.abc import Iterator
from dataclasses import replace
from datetime import datetime, timedelta
from functools import partial

from kiosk.booth.components import Components
from kiosk.booth.health.out_of_order import OutOfOrder, failure
from kiosk.booth.payment_tracker import PaymentTracker
from kiosk.booth.sheet_tracker import SheetTracker
from kiosk.core.base.ticket import Ticket
from kiosk.core.document.document import Document
from kiosk.core.session.commands import (
    AskPayment,
    CancelPayment,
    Command,
    Drop,
    Find,
    HandFile,
    Look,
    LookUp,
    MakeFile,
    Measure,
    Print,
    PrintBadge,
    ReadCodes,
    Shoot,
    Turn,
    Wipe,
)
from kiosk.core.session.events import Event, Measured, ShotFailed, Still
from kiosk.core.session.receipt import Purchase
from kiosk.core.session.state import Session
from kiosk.devices.base import PrintJob
from kiosk.errors import CannotWrite, KioskError
from kiosk.pipeline.picture_jobs import BadgeMade, BadgeStill, FileMade, JobResult, SheetMade

NOBODYS = Ticket(holder="nobody")
"""The ticket of work that nobody waits for."""

_STILL = "still-{}.jpg"

_log = logging.getLogger(__name__)


class CommandRunner:
    """What the session has others do; for the frame loop's thread alone.

    Parameters
    ----------
    components
        Those that do it.
    sheets
        Where a sitter's finished sheet goes.
    out_of_order
        Shared with the watches.
    money
        Who takes the sitter's money, where the booth is paid.

    Attributes
    ----------
    sheet_key
        Of the sheet that the sitter waits for; empty until it was sent, and once nobody waits any more.
    """

    def __init__(
        self,
        components: Components,
        sheets: SheetTracker,
        out_of_order: OutOfOrder,
        money: PaymentTracker | None = None,
    ) -> None:
        self._components = components
        self._sheets = sheets
        self._out_of_order = out_of_order
        self._money = money
        self.sheet_key = ""

    def run(self, command: Command, session: Session) -> None:
        """Dispatch a session command to its component; never blocks."""
        components = self._components
        match command:
            case Look(on, turned_deg, keeps):
                if on:
                    self._wipe(keep=tuple(map(_STILL.format, keeps)))
                    components.camera.forget()
                components.worker.look_on(on, partial(components.picture_jobs.look, turned_deg=turned_deg))
            case ReadCodes():
                components.camera.forget()
                components.worker.look_on(True, components.picture_jobs.read_codes)
            case Shoot(ticket):
                components.camera.shoot(ticket)
            case Measure(ticket, jpeg, document, number, turned_deg):
                name = _STILL.format(number)
                components.worker.submit(ticket, partial(self._measure, name, jpeg, document, turned_deg))
            case Drop(number):
                components.worker.submit(NOBODYS, partial(components.files.drop, _STILL.format(number)))
            case Print(ticket):
                self.sheet_key = ""
                components.worker.submit(ticket, partial(self._sheet, self._still_name(session), command))
            case AskPayment() | CancelPayment():
                self._take_money(command)
            case MakeFile() | HandFile():
                self._hand_over(command)
            case Find() | LookUp():
                self._search(command)
            case PrintBadge():
                self._print_badge(command, session)
            case Wipe(ending):
                _log.info("session ended: %s", ending)
                self._session_ended(abandoned=ending == "abandoned")

    def ended(self, ticket: Ticket, outcome: JobResult | Exception, session: Session) -> Iterator[Event]:
        """Hand a finished sheet to the printer; a damaged still is taken again, a sheet that cannot be made is not.

        A disk that takes nothing, or that cannot be wiped, puts the booth out of order until the machine is found well.
        """
        printing = session.state == "printing" and session.ticket == ticket
        badges, handing = self._components.badges, self._components.handing
        match outcome:
            case None:
                return
            case Still():
                yield Measured(ticket, outcome)
            case BadgeStill(wanted, document, arrived_at, still) if badges:
                badges.begin(wanted, still, document, arrived_at)
            case BadgeMade() if badges:
                self._sheets.count(outcome.job)
                yield from badges.made(ticket, outcome)
            case KioskError() if badges and badges.owns(ticket):
                yield from badges.not_made(ticket, outcome)
            case CannotWrite():
                _log.error("%s", outcome)
                self._out_of_order.add("machine")
                yield failure(outcome)
            case KioskError() if handing and handing.awaits(ticket):
                handing.not_made(ticket, str(outcome))
            case FileMade() if handing:
                handing.made(ticket, outcome)
            case SheetMade(job, purchase):
                if printing:
                    self._send(job, session, purchase)
            case KioskError():
                _log.warning("%s", outcome)
                yield failure(outcome) if printing else ShotFailed(ticket)
            case Exception():
                raise outcome

    def _take_money(self, command: AskPayment | CancelPayment) -> None:
        if self._money is None:
            return
        if isinstance(command, AskPayment):
            self._money.ask(command)
        else:
            self._money.cancel()

    def _hand_over(self, command: MakeFile | HandFile) -> None:
        """Make a file while its still is there, in the worker's thread, or hand it over."""
        handing = self._components.handing
        if handing is None:
            return
        if isinstance(command, HandFile):
            handing.go(command)
            return
        handing.want(command)
        self._components.worker.submit(command.ticket, partial(self._file, command))

    def _search(self, command: Find | LookUp) -> None:
        badges = self._components.badges
        if badges is None:
            return
        if isinstance(command, Find):
            badges.desk.find(command.query)
        else:
            badges.desk.look_up(command.code)

    def _session_ended(self, *, abandoned: bool) -> None:
        self.sheet_key = ""
        self._sheets.session_ended(abandoned=abandoned)
        if self._money is not None:
            self._money.session_ended()
        self._wipe()
        self._components.camera.forget()

    def _send(self, job: PrintJob, session: Session, purchase: Purchase | None) -> None:
        assert session.document is not None
        assert session.still is not None
        layout, still = self._components.picture_jobs.layout_on(session.paper), session.still
        photos = len(layout.impose(session.document, marked=still.accepted).photos)
        self.sheet_key = job.key
        paid = ("", 0)
        if self._money is not None and self._money.bill:
            paid = (self._money.bill, session.account.price)
            self._money.sheet_sent(job.key, session.account.price)
        if self._components.receipts is not None:
            self._components.receipts.sheet_sent(job.key, purchase)
        self._sheets.send(job, session.document, photos, still.not_certain, paid)

    def _print_badge(self, wanted: PrintBadge, session: Session) -> None:
        """Begin a badge, with the still that its photo is cut out of where it shows one."""
        arrived_at = self._arrived_at(session)
        if wanted.plan:
            badge = BadgeStill(wanted, session.document, arrived_at)
            self._components.worker.submit(wanted.ticket, partial(self._with_still, badge, self._still_name(session)))
        elif self._components.badges:
            self._components.badges.begin(wanted, b"", session.document, arrived_at)

    def _wipe(self, keep: tuple[str, ...] = ()) -> None:
        self._components.worker.submit(NOBODYS, partial(self._forget, keep))

    def _forget(self, keep: tuple[str, ...]) -> JobResult:
        """Wipe the session's files but some, in the worker's thread."""
        self._components.files.wipe(keep)
        return None

    def _measure(self, name: str, jpeg: bytes, document: Document, turned_deg: Turn) -> JobResult:
        """Keep a still and measure it, in the worker's thread."""
        self._components.files.put(name, jpeg)
        return self._components.picture_jobs.measure(jpeg, document, turned_deg)

    def _with_still(self, badge: BadgeStill, name: str) -> JobResult:
        """Read the still of a badge before the session's files are wiped, in the worker's thread."""
        return replace(badge, still=self._components.files.get(name))

    def _sheet(self, name: str, wanted: Print) -> JobResult:
        """Make the sheet of a kept still, in the worker's thread."""
        return self._components.picture_jobs.sheet(self._components.files.get(name), wanted)

    def _file(self, wanted: MakeFile) -> JobResult:
        """Make the file of a kept still, in the worker's thread."""
        return self._components.picture_jobs.file(self._components.files.get(_STILL.format(wanted.number)), wanted)

    def _still_name(self, session: Session) -> str:
        """Return the name under which the best still is kept as the camera wrote it."""
        assert session.still is not None
        return _STILL.format(session.still.number)

    def _arrived_at(self, session: Session) -> datetime:
        """Return when the guest was found on the roster."""
        clock = self._components.clock
        return clock.now() - timedelta(seconds=clock.now_s() - session.found_s)
