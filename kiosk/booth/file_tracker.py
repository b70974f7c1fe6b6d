"""The sitter's file on its way: kept for the states in which it can be asked for, and gone with them."""

from __future__ import annotations

import logging
from collections.abc import Callable, Iterator

from kiosk.core.base.ticket import Ticket
from kiosk.core.session.commands import HandFile, MakeFile
from kiosk.core.session.events import Event, FileMoved
from kiosk.core.session.facts import FileHanded, Ledger
from kiosk.core.session.outage import SHEET_OUT
from kiosk.core.session.state import Session
from kiosk.core.view.handover import FileWay
from kiosk.errors import os_reason
from kiosk.handover.process import HandedFile
from kiosk.pipeline.picture_jobs import FileMade

END_S = 2.0
"""How long `close` waits for the end of each process."""

Hand = Callable[[bytes, str], HandedFile]
"""Begins to hold a file with that content and name, as `HandedFile` does."""

_log = logging.getLogger(__name__)


class FileTracker:
    """Where the file of the last sitter is; for the frame loop's thread alone.

    Parameters
    ----------
    hand
        Begins to hold a file.
    ledger
        Of the booth.
    """

    def __init__(self, hand: Hand, ledger: Ledger) -> None:
        self._hand = hand
        self._ledger = ledger
        self._wanted: MakeFile | None = None
        self._way: FileWay = "phone"
        self._held: HandedFile | None = None
        self._ending: list[HandedFile] = []
        self._said: list[FileMoved] = []

    def want(self, wanted: MakeFile) -> None:
        """Wait for a file that is being made."""
        self._drop()
        self._wanted = wanted

    def awaits(self, ticket: Ticket) -> bool:
        """Return whether the file of that ticket is being made."""
        return self._wanted is not None and self._wanted.ticket == ticket and self._held is None

    def made(self, ticket: Ticket, made: FileMade) -> None:
        """Hold a finished file, unless its sitter has gone in the meantime."""
        if not self.awaits(ticket):
            return
        try:
            self._held = self._hand(made.jpeg, made.name)
        except OSError as error:
            self.not_made(ticket, os_reason(error))

    def not_made(self, ticket: Ticket, reason: str) -> None:
        """Offer nothing: the file cannot be made or held."""
        _log.warning("no file can be handed over: %s", reason)
        self._said.append(FileMoved(ticket, "lost"))

    def go(self, wanted: HandFile) -> None:
        """Hand the file over by a way."""
        if self._wanted is None or self._held is None:
            return
        self._way = wanted.way
        failure = self._held.go(wanted.way, wanted.language)
        if failure is not None:
            self._said.append(FileMoved(self._wanted.ticket, failure))

    def events(self, session: Session) -> Iterator[Event]:
        """Yield what has become of the file; it ends here as soon as the session has left the states that keep it."""
        self._ending = [ended for ended in self._ending if not ended.process.is_gone]
        if session.state not in SHEET_OUT:
            self._drop()
        wanted, held = self._wanted, self._held
        if wanted is None:
            return
        for said in held.poll() if held is not None else ():
            if said == "taken":
                self._ledger.put(FileHanded(wanted.document.id, self._way))
            self._said.append(FileMoved(wanted.ticket, said, held.link if held is not None and said == "link" else ""))
        moved, self._said = self._said, []
        yield from moved

    def close(self) -> None:
        """End the file."""
        self._drop()
        for ended in self._ending:
            ended.process.wait(END_S)

    def _drop(self) -> None:
        if self._held is not None:
            self._held.end()
            self._ending.append(self._held)
        self._wanted = self._held = None
        self._said = []
