"""The ledger's thread: facts wait in memory until they are on the disk, and the frame loop waits for nothing.

A ledger that cannot be written does not close the shop: the facts are kept, up to `KEPT` of them, the disk is tried
again and again, and `trouble` says what is wrong.
"""

from __future__ import annotations

import fcntl
import logging
import threading
from collections import deque
from itertools import islice
from pathlib import Path
from typing import IO

from sqlalchemy import Engine
from sqlalchemy.exc import DatabaseError, IntegrityError

from kiosk.core.session.facts import Fact, FaultBegan, Stamped
from kiosk.errors import CannotWrite, KioskError, LedgerBusy, LedgerDamaged, LedgerShared, os_reason
from kiosk.store.ledger.file import fault_of, kept_as, open_ledger, set_aside
from kiosk.store.ledger.writer import HowItEnded, Open, mend, settle, write
from kiosk.system.clock import Clock

KEPT = 20_000
"""Facts kept in memory while the disk takes none: more than a long day of a busy booth, some megabytes."""
RETRY_S = 2.0
_AT_ONCE = 500
_CLOSE_S = 10.0

_log = logging.getLogger(__name__)


class Bookkeeper:
    """Keeps the ledger of one booth; `put` is for the frame loop, `flush` for threads that may wait.

    Parameters
    ----------
    path
        Of the ledger's file.
    clock
        Stamps the facts.
    how_it_ended
        Tells how a sheet ended that a crash left with the printer.
    retry_s
        How long to wait before a disk that took nothing is tried again.

    Raises
    ------
    LedgerForeign
        The file is a database of something else.
    LedgerShared
        Another booth writes the file.
    CannotWrite
        The folder or the file cannot be written.
    """

    def __init__(self, path: Path, clock: Clock, how_it_ended: HowItEnded, retry_s: float = RETRY_S) -> None:
        self._path = path
        self._clock = clock
        self._how_it_ended = how_it_ended
        self._retry_s = retry_s
        self._facts: deque[Stamped] = deque()
        self._written = 0
        self._change = threading.Condition()
        self._closing = threading.Event()
        self._session: Open | None = None
        self._is_settled = False
        self._engine: Engine | None = None
        self.trouble: KioskError | None = None
        """What keeps the facts from the disk, or None."""
        self._lock = _locked(path)
        try:
            self._open()
        except LedgerBusy as busy:
            self._stuck(busy)
        except BaseException:
            self._lock.close()
            raise
        self._thread = threading.Thread(target=self._work, name="ledger", daemon=True)
        self._thread.start()

    @property
    def standing(self) -> str:
        """What keeps facts from the disk, and how many wait, in words for the attendant; nothing where none does."""
        trouble = self.trouble
        return f"{trouble} {trouble.advice} {len(self._facts)} facts wait in memory." if trouble is not None else ""

    def put(self, fact: Fact) -> None:
        """Take a fact and return at once."""
        stamped = Stamped(fact, self._clock.now(), self._clock.now_s())
        with self._change:
            if len(self._facts) >= KEPT:
                self._facts.popleft()
                self._written += 1
                _log.error("the ledger takes nothing: the oldest fact is lost")
            self._facts.append(stamped)
            self._change.notify_all()

    def flush(self, limit_s: float = 2.0) -> bool:
        """Wait until every fact put so far is on the disk, and tell whether it is."""
        with self._change:
            wanted = self._written + len(self._facts)
            return self._change.wait_for(lambda: self._written >= wanted, limit_s)

    def close(self) -> None:
        """Write what is left, within some seconds, and let the file go; may be called twice."""
        if self._closing.is_set():
            return
        if not self.flush(_CLOSE_S):
            _log.error("%d facts could not be written to the ledger: %s", len(self._facts), self.trouble)
        self._closing.set()
        with self._change:
            self._change.notify_all()
        self._thread.join()
        if self._engine is not None:
            self._engine.dispose()
        self._lock.close()

    def _work(self) -> None:
        while not self._closing.is_set():
            with self._change:
                self._change.wait_for(lambda: self._facts or self._closing.is_set())
                batch = list(islice(self._facts, _AT_ONCE))
                first = self._written
            try:
                self._write(batch)
            except Exception as error:
                self._stuck(self._fault(error))
                self._closing.wait(self._retry_s)
                continue
            self.trouble = None
            with self._change:
                done = first + len(batch)
                while self._written < done:
                    self._facts.popleft()
                    self._written += 1
                self._change.notify_all()

    def _write(self, batch: list[Stamped]) -> None:
        """Write a batch in one transaction, all of it or nothing; again without a fact that contradicts the rows."""
        engine = self._engine or self._open()
        while True:
            session = self._session
            try:
                with engine.begin() as connection:
                    for stamped in batch:
                        session = write(connection, stamped, session)
            except IntegrityError as error:
                _log.error("the ledger cannot hold a %s: %s", type(stamped.fact).__name__, error.orig)
                batch = [other for other in batch if other is not stamped]
            else:
                self._session = session
                return

    def _open(self) -> Engine:
        """Open the file, or a new one in place of one that cannot be used.

        What a crash has left open is settled at the first opening; later ones find the session that is open now.
        """
        now = self._clock.now()
        engine, wrong = open_ledger(self._path, now)
        try:
            with engine.begin() as connection:
                if not self._is_settled:
                    settle(connection, now, self._how_it_ended)
                if wrong is not None:
                    _log.error("%s It is kept as %s.", wrong, wrong.params["kept"])
                    write(connection, Stamped(FaultBegan(wrong.key), now, self._clock.now_s()), None)
                    mend(connection, now)
        except (DatabaseError, ValueError) as error:
            engine.dispose()
            fault = fault_of(error, self._path)
            if not isinstance(fault, LedgerDamaged):
                raise fault from error
            kept = kept_as(self._path, now)
            _log.error("%s It is kept as %s.", fault, kept)
            set_aside(self._path, kept)
            self._session = None
            return self._open()
        if wrong is not None:
            self._session = None
        self._is_settled, self._engine = True, engine
        return engine

    def _fault(self, error: Exception) -> KioskError:
        """Return what keeps the facts from the disk; none of them is given up for it."""
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

    def _stuck(self, fault: KioskError) -> None:
        """Note what is wrong; the file is opened, and checked, again before the next fact."""
        if self.trouble is None or self.trouble.key != fault.key:
            _log.error("%s %s", fault, fault.advice)
        self.trouble = fault
        if self._engine is not None and not isinstance(fault, LedgerBusy):
            self._engine.dispose()
            self._engine = None


def _locked(path: Path) -> IO[str]:
    """Take the lock of a booth's ledger; it falls with the process."""
    try:
        path.parent.mkdir(parents=True, exist_ok=True, mode=0o700)
        file = path.with_name(f"{path.name}.lock").open("w", encoding="ascii")
    except OSError as error:
        raise CannotWrite(path=path, detail=os_reason(error)) from error
    try:
        fcntl.flock(file, fcntl.LOCK_EX | fcntl.LOCK_NB)
    except OSError as error:
        file.close()
        raise LedgerShared(path=path) from error
    return file
