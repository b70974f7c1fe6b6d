"""The session's commands, each given to the part that does it, and what comes back of those that take time."""

from __future__ import annotations

import logging
from collections.abc import Iterator
from datetime import datetime, timedelta
from functools import partial

from kiosk.core.events import (
    Command,
    Drop,
    Event,
    Find,
    Look,
    LookUp,
    Measure,
    Measured,
    Print,
    PrintBadge,
    ReadCodes,
    Shoot,
    ShotFailed,
    Still,
    Ticket,
    Wipe,
)
from kiosk.core.visit import Session
from kiosk.devices.base import PrintJob
from kiosk.errors import KioskError
from kiosk.parts import Parts
from kiosk.pipeline import BadgeMade, Outcome, SheetMade
from kiosk.sheets_due import SheetsDue
from kiosk.watch.blame import failure

_STILL = "still-{}.jpg"

_log = logging.getLogger(__name__)


class Errands:
    """What the session has others do; for the frame loop's thread alone.

    Parameters
    ----------
    parts
        Those that do it.
    sheets
        Where a sitter's finished sheet goes.

    Attributes
    ----------
    sheet_key
        Of the sheet that the sitter waits for, or the last one waited for.
    """

    def __init__(self, parts: Parts, sheets: SheetsDue) -> None:
        self._parts = parts
        self._sheets = sheets
        self.sheet_key = ""

    def run(self, command: Command, session: Session) -> None:
        """Give a command of the session to whoever does it; at once."""
        parts = self._parts
        match command:
            case Look(on, turned_deg, keeps):
                if on:
                    parts.files.wipe(keep=_STILL.format(keeps))
                parts.worker.look_on(on, partial(parts.bench.look, turned_deg=turned_deg))
            case ReadCodes():
                parts.worker.look_on(True, parts.bench.read_codes)
            case Shoot():
                parts.camera.shoot()
            case Measure(ticket, jpeg, document, number, turned_deg):
                parts.files.put(_STILL.format(number), jpeg)
                parts.worker.submit(ticket, partial(parts.bench.measure, jpeg, document, turned_deg))
            case Drop(number):
                parts.files.drop(_STILL.format(number))
            case Print(ticket):
                parts.worker.submit(ticket, partial(parts.bench.sheet, self._still(session), command))
            case Find(query) if parts.badges:
                parts.badges.desk.find(query)
            case LookUp(code) if parts.badges:
                parts.badges.desk.look_up(code)
            case PrintBadge() if parts.badges:
                still = self._still(session) if command.plan else b""
                parts.badges.begin(command, still, session.document, self._arrived_at(session))
            case Wipe(ending):
                _log.info("session ended: %s", ending)
                parts.files.wipe()

    def ended(self, ticket: Ticket, outcome: Outcome | Exception, session: Session) -> Iterator[Event]:
        """Hand a finished sheet to the printer; a damaged still is taken again, a sheet that cannot be made is not."""
        printing = session.state == "printing" and session.since_s == ticket
        badges = self._parts.badges
        match outcome:
            case Still():
                yield Measured(ticket, outcome)
            case BadgeMade() if badges:
                yield from badges.made(ticket, outcome)
            case KioskError() if badges and badges.owns(ticket):
                yield from badges.not_made(ticket, outcome)
            case SheetMade(job):
                if printing:
                    self._send(job, session)
            case KioskError():
                _log.warning("%s", outcome)
                yield failure(outcome) if printing else ShotFailed(ticket)
            case Exception():
                raise outcome

    def _send(self, job: PrintJob, session: Session) -> None:
        assert session.document is not None
        assert session.still is not None
        layout, still = self._parts.bench.layout_on(session.paper), session.still
        photos = len(layout.impose(session.document, marked=still.accepted).photos)
        self.sheet_key = job.key
        self._sheets.send(job, session.document, photos, still.not_certain)

    def _still(self, session: Session) -> bytes:
        """Return the kept still as the camera wrote it."""
        assert session.still is not None
        return self._parts.files.get(_STILL.format(session.still.number))

    def _arrived_at(self, session: Session) -> datetime:
        """Return when the guest was found on the roster."""
        clock = self._parts.clock
        return clock.now() - timedelta(seconds=clock.now_s() - session.found_s)
