"""The ledger's thread: facts are held in memory until they are on disk, so that the frame loop never waits.

A ledger that cannot be written does not close the shop. Up to `MOST_FACTS` facts are held in memory, writing is retried
again and again, and `trouble` holds the reason.
"""

from __future__ import annotations

import logging
import threading
from collections import deque
from collections.abc import Callable
from itertools import islice
from pathlib import Path
from typing import TypeVar

from sqlalchemy import Connection
from sqlalchemy.exc import DatabaseError

from kiosk.core.session.bill import Bill
from kiosk.core.session.facts import Fact, Stamped
from kiosk.errors import CannotWrite, KioskError, LedgerBusy, os_reason
from kiosk.store.ledger import outbox
from kiosk.store.ledger.book import Book
from kiosk.store.ledger.file import fault_of, locked
from kiosk.store.ledger.outbox import SentFact, Unsent
from kiosk.store.ledger.writer import HowItEnded
from kiosk.system.clock import Clock

MOST_FACTS = 20_000
"""The most facts held in memory while they cannot be written: more than a busy booth's long day, some megabytes."""
RETRY_S = 2.0
_BATCH = 500
_CLOSE_S = 10.0

_Answer = TypeVar("_Answer")

_log = logging.getLogger(__name__)


class Bookkeeper:
    """Writes the ledger of one booth; `put` is for the frame loop, `flush` for threads that may wait.

    Parameters
    ----------
    path
        The ledger's file.
    clock
        The clock that stamps the facts.
    how_it_ended
        Returns the outcome of a sheet that a crash left with the printer.
    retry_s
        Seconds between failed attempts to write.
    is_sent
        Whether an office's database gets the facts, too: they are then kept in an outbox until it has them.

    Raises
    ------
    LedgerForeign
        The file is the database of another program.
    LedgerShared
        Another booth writes to the file.
    CannotWrite
        The folder or the file cannot be written.
    """

    def __init__(
        self, path: Path, clock: Clock, how_it_ended: HowItEnded, retry_s: float = RETRY_S, *, is_sent: bool = False
    ) -> None:
        self._path = path
        self._clock = clock
        self._retry_s = retry_s
        self._facts: deque[Stamped] = deque()
        self._written = 0
        self._change = threading.Condition()
        self._closing = threading.Event()
        self._book = Book(path, clock, how_it_ended, is_sent=is_sent)
        self._in_use = threading.Lock()
        self.trouble: KioskError | None = None
        """Why facts cannot be written to disk at present, or None."""
        self._lock = locked(path)
        try:
            self._book.open()
        except LedgerBusy as busy:
            self._note_trouble(busy)
        except BaseException:
            self._lock.close()
            raise
        self._thread = threading.Thread(target=self._work, name="ledger", daemon=True)
        self._thread.start()

    @property
    def bills(self) -> tuple[Bill, ...] | None:
        """The bills that the last run left open; None until the file could be opened."""
        return self._book.bills

    @property
    def unsent(self) -> Unsent:
        """What waits in the outbox."""
        return self._book.unsent

    @property
    def unsent_count(self) -> int:
        """How many facts wait for the office's database."""
        return self.unsent.count

    @property
    def trouble_in_words(self) -> str:
        """Why facts cannot be written, and how many are waiting, for the attendant; empty while all is well."""
        trouble = self.trouble
        return f"{trouble} {trouble.advice} {len(self._facts)} facts wait in memory." if trouble is not None else ""

    def put(self, fact: Fact) -> None:
        """Queue a fact for writing; never blocks.

        Once `MOST_FACTS` are waiting, the oldest is discarded and an error logged.
        """
        stamped = Stamped(fact, self._clock.now(), self._clock.now_s())
        with self._change:
            if len(self._facts) >= MOST_FACTS:
                self._facts.popleft()
                self._written += 1
                _log.error("the ledger cannot be written: the oldest fact is lost")
            self._facts.append(stamped)
            self._change.notify_all()

    def put_on_disk(self, facts: tuple[Fact, ...]) -> bool:
        """Queue facts, wait until they are on disk, and return whether they are; for threads that may wait."""
        for fact in facts:
            self.put(fact)
        return self.flush()

    def flush(self, limit_s: float = 2.0) -> bool:
        """Wait up to `limit_s` until all facts put so far are on disk, and return whether they are."""
        with self._change:
            target = self._written + len(self._facts)
            return self._change.wait_for(lambda: self._written >= target, limit_s)

    def oldest_unsent(self, count: int) -> list[SentFact]:
        """Return up to `count` facts of the outbox in order; none while it cannot be read.

        Waits for the ledger's own thread, and so does `remove_sent`.
        """
        return self._in_outbox(lambda connection: list(outbox.oldest(connection, count))) or []

    def remove_sent(self, facts: list[SentFact]) -> None:
        """Remove facts that the office has from the outbox; those that stay are sent again, which does no harm."""

        def remove(connection: Connection) -> None:
            outbox.remove(connection, facts)
            self._book.unsent = outbox.unsent(connection)

        self._in_outbox(remove)

    def close(self) -> None:
        """Write the remaining facts, for up to ten seconds, and release the file; a second call does nothing."""
        if self._closing.is_set():
            return
        if not self.flush(_CLOSE_S):
            _log.error("%d facts could not be written to the ledger: %s", len(self._facts), self.trouble)
        self._closing.set()
        with self._change:
            self._change.notify_all()
        self._thread.join()
        with self._in_use:
            self._book.shut()
        self._lock.close()

    def _work(self) -> None:
        while not self._closing.is_set():
            with self._change:
                self._change.wait_for(lambda: self._facts or self._closing.is_set())
                batch = list(islice(self._facts, _BATCH))
                first = self._written
            try:
                with self._in_use:
                    self._book.write(batch)
            except Exception as error:
                with self._in_use:
                    self._note_trouble(self._fault(error))
                self._closing.wait(self._retry_s)
                continue
            self.trouble = None
            with self._change:
                target = first + len(batch)
                while self._written < target:
                    self._facts.popleft()
                    self._written += 1
                self._change.notify_all()

    def _in_outbox(self, work: Callable[[Connection], _Answer]) -> _Answer | None:
        """Do something in a transaction of the ledger's one connection; None while there is none or it fails."""
        with self._in_use:
            if self._book.engine is None:
                return None
            try:
                with self._book.engine.begin() as connection:
                    return work(connection)
            except DatabaseError as error:
                fault = fault_of(error, self._path)
                if not isinstance(fault, LedgerBusy):
                    self._note_trouble(fault)
                return None

    def _fault(self, error: Exception) -> KioskError:
        """Return the reason why a batch could not be written; its facts stay queued."""
        match error:
            case KioskError():
                return error
            case DatabaseError():
                return fault_of(error, self._path)
            case OSError():
                return CannotWrite(path=self._path, detail=os_reason(error))
            case _:
                _log.exception("the ledger could not be written")
                return CannotWrite(path=self._path, detail=f"an unexpected {type(error).__name__}")

    def _note_trouble(self, fault: KioskError) -> None:
        """Record why writing failed, and shut the file so that it is checked again before the next attempt."""
        if self.trouble is None or self.trouble.key != fault.key:
            _log.error("%s %s", fault, fault.advice)
        self.trouble = fault
        if not isinstance(fault, LedgerBusy):
            self._book.shut()
