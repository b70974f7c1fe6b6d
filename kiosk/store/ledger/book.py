"""The ledger's file as its booth writes it: opened again after a fault, and set aside for a new one if damaged."""

from __future__ import annotations

import logging
from pathlib import Path

from sqlalchemy import Engine
from sqlalchemy.exc import DatabaseError, IntegrityError

from kiosk.core.session.bill import Bill
from kiosk.core.session.facts import FaultBegan, Stamped
from kiosk.errors import LedgerDamaged
from kiosk.store.ledger import outbox, writer
from kiosk.store.ledger.bills import open_bills
from kiosk.store.ledger.file import damaged_path, fault_of, open_ledger, set_aside
from kiosk.store.ledger.outbox import Outbox, Unsent
from kiosk.store.ledger.writer import HowItEnded, OpenSession
from kiosk.system.clock import Clock

_log = logging.getLogger(__name__)


class Book:
    """The database of one ledger; nobody else may write to it, and one thread at a time may use this.

    Parameters
    ----------
    path, clock, how_it_ended, is_sent
        Those of the `Bookkeeper`.
    """

    def __init__(self, path: Path, clock: Clock, how_it_ended: HowItEnded, *, is_sent: bool) -> None:
        self._path = path
        self._clock = clock
        self._how_it_ended = how_it_ended
        self._is_sent = is_sent
        self._outbox: Outbox | None = None
        self._session: OpenSession | None = None
        self._is_settled = False
        self.engine: Engine | None = None
        """The open file, or None while it is shut."""
        self.unsent = Unsent()
        """What waits in the outbox."""
        self.bills: tuple[Bill, ...] | None = None
        """The bills that the last run left open; None until the file could be opened."""

    def open(self) -> Engine:
        """Open the file, or set aside an unusable one and open a new file.

        Only the first opening closes the rows that a crash left open; later ones would close the current session's.

        Raises
        ------
        LedgerBusy, LedgerForeign, CannotWrite
            It can neither be used nor be set aside.
        """
        now = self._clock.now()
        engine, wrong = open_ledger(self._path, now)
        self._outbox = Outbox() if self._is_sent else None
        try:
            with engine.begin() as connection:
                if not self._is_settled:
                    writer.close_open_rows(connection, now, self._how_it_ended, self._outbox)
                    self.bills = open_bills(connection)
                if wrong is not None:
                    _log.error("%s It is kept as %s.", wrong, wrong.params["kept"])
                    damage = Stamped(FaultBegan(wrong.key), now, self._clock.now_s())
                    writer.write(connection, damage, None, self._outbox)
                    writer.end_faults(connection, now, self._outbox)
                self.unsent = outbox.unsent(connection)
        except (DatabaseError, ValueError) as error:
            engine.dispose()
            fault = fault_of(error, self._path)
            if not isinstance(fault, LedgerDamaged):
                raise fault from error
            kept = damaged_path(self._path, now)
            _log.error("%s It is kept as %s.", fault, kept)
            set_aside(self._path, kept)
            self._session = None
            return self.open()
        if wrong is not None:
            self._session = None
        self._is_settled, self.engine = True, engine
        return engine

    def write(self, batch: list[Stamped]) -> None:
        """Write a batch in one transaction, leaving out facts that violate the database's constraints."""
        engine = self.engine or self.open()
        while True:
            session = self._session
            try:
                with engine.begin() as connection:
                    for stamped in batch:
                        session = writer.write(connection, stamped, session, self._outbox)
                    if self._outbox is not None:
                        self.unsent = outbox.unsent(connection)
            except IntegrityError as error:
                _log.error("the ledger cannot hold a %s: %s", type(stamped.fact).__name__, error.orig)
                batch = [other for other in batch if other is not stamped]
            else:
                self._session = session
                return

    def shut(self) -> None:
        """Let go of the file; `write` opens it again."""
        if self.engine is not None:
            self.engine.dispose()
            self.engine = None
