"""The ledger's file: opened so that a power cut loses nothing, checked, copied before it is changed, never deleted.

A file that cannot be used is set aside under another name, whole, and a new one is begun: a shop must be able to trade,
and what it traded must be there tomorrow. Only a file that is not a ledger at all is left alone and refused.
"""

from __future__ import annotations

import sqlite3
from contextlib import closing
from datetime import datetime
from pathlib import Path

from sqlalchemy import Engine, StaticPool, create_engine
from sqlalchemy.exc import DatabaseError

from kiosk.errors import CannotWrite, KioskError, LedgerBusy, LedgerDamaged, LedgerForeign, LedgerNewer, os_reason
from kiosk.store.ledger.versions import APPLICATION_ID, VERSIONS, bring_up_to_date
from kiosk.store.sqlite import make_durable

BUSY_S = 2.0
"""How long a write waits for another program that holds the file."""
_BUSY = {sqlite3.SQLITE_BUSY, sqlite3.SQLITE_LOCKED}
_NO_ROOM = {sqlite3.SQLITE_FULL, sqlite3.SQLITE_IOERR, sqlite3.SQLITE_CANTOPEN, sqlite3.SQLITE_READONLY}
_BESIDE = ("", "-wal", "-shm")


def engine_of(path: Path) -> Engine:
    """Return an engine with one connection, which may be used from one thread at a time."""
    engine = create_engine(
        f"sqlite:///{path}", poolclass=StaticPool, connect_args={"check_same_thread": False, "timeout": BUSY_S}
    )
    make_durable(engine)
    return engine


def open_ledger(path: Path, now: datetime) -> tuple[Engine, KioskError | None]:
    """Return the ledger at `path`, at the newest version, and what was wrong where a new one had to be begun.

    Parameters
    ----------
    path
        Of the file; made where it is missing.
    now
        Names the copies.

    Raises
    ------
    LedgerBusy
        Another program holds it.
    LedgerForeign
        It is a database of something else; it stands untouched.
    CannotWrite
        The folder or the file cannot be written.
    """
    try:
        path.parent.mkdir(parents=True, exist_ok=True, mode=0o700)
    except OSError as error:
        raise CannotWrite(path=path, detail=os_reason(error)) from error
    stamp = f"{now:%Y%m%dT%H%M%S}"
    try:
        return _opened(path, stamp), None
    except (LedgerDamaged, LedgerNewer) as error:
        set_aside(path, Path(str(error.params["kept"])))
        return _opened(path, stamp), error


def fault_of(error: Exception, path: Path, kept: Path | None = None) -> KioskError:
    """Return what a failed statement, or a value that is none, means for the ledger at `path`."""
    cause = error.orig if isinstance(error, DatabaseError) else error
    code = getattr(cause, "sqlite_errorcode", sqlite3.SQLITE_CORRUPT) & 0xFF
    if code in _BUSY:
        return LedgerBusy(path=path)
    if code in _NO_ROOM:
        return CannotWrite(path=path, detail=str(cause))
    return LedgerDamaged(path=path, detail=str(cause), kept=kept or path)


def set_aside(path: Path, kept: Path) -> None:
    """Move a ledger with its log out of the way, to `kept`."""
    for ending in reversed(_BESIDE):
        beside = path.with_name(path.name + ending)
        if beside.exists():
            beside.rename(kept.with_name(kept.name + ending))


def others(path: Path) -> list[Path]:
    """Return the ledgers that were set aside or copied, which lie beside `path`."""
    return sorted(kept for kept in path.parent.glob(f"{path.stem}.*{path.suffix}") if kept != path)


def damaged(path: Path) -> list[Path]:
    """Return the damaged ledgers that were set aside beside `path`."""
    return [kept for kept in others(path) if kept.name.startswith(f"{path.stem}.damaged-")]


def _opened(path: Path, stamp: str) -> Engine:
    engine = engine_of(path)
    try:
        found = _checked(path, stamp)
        if 0 < found < len(VERSIONS):
            _copy(path, _free(path, f"version-{found}-{stamp}"))
        with engine.begin() as connection:
            if found < len(VERSIONS):
                bring_up_to_date(connection)
        path.chmod(0o600)
    except DatabaseError as error:
        engine.dispose()
        raise fault_of(error, path, _free(path, f"damaged-{stamp}")) from error
    except BaseException:
        engine.dispose()
        raise
    return engine


def _checked(path: Path, stamp: str) -> int:
    """Return the version of a file that is a ledger and whole; nothing is changed in it."""
    try:
        with closing(sqlite3.connect(path, timeout=BUSY_S)) as connection:
            (mark,) = connection.execute("PRAGMA application_id").fetchone()
            (tables,) = connection.execute("SELECT count(*) FROM sqlite_schema").fetchone()
            (found,) = connection.execute("PRAGMA user_version").fetchone()
            if tables and mark != APPLICATION_ID:
                raise LedgerForeign(path=path)
            if found > len(VERSIONS):
                kept = _free(path, f"version-{found}-{stamp}")
                raise LedgerNewer(path=path, found=found, known=len(VERSIONS), kept=kept)
            (said,) = connection.execute("PRAGMA quick_check(1)").fetchone()
            if said != "ok":
                raise sqlite3.DatabaseError(" ".join(said.split()))
    except sqlite3.DatabaseError as error:
        raise fault_of(error, path, _free(path, f"damaged-{stamp}")) from error
    return int(found)


def _copy(path: Path, to: Path) -> None:
    """Copy a ledger whole, with what its log holds, to the disk."""
    with closing(sqlite3.connect(path)) as source, closing(sqlite3.connect(to)) as target:
        source.backup(target)
    to.chmod(0o600)


def kept_as(path: Path, now: datetime) -> Path:
    """Return the name under which a damaged ledger is kept."""
    return _free(path, f"damaged-{now:%Y%m%dT%H%M%S}")


def _free(path: Path, word: str) -> Path:
    """Return a name beside `path` that nothing has."""
    names = [word, *(f"{word}-{number}" for number in range(2, 100))]
    return next(
        name for name in (path.with_name(f"{path.stem}.{word}{path.suffix}") for word in names) if not name.exists()
    )
