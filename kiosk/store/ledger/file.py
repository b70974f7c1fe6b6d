"""The ledger's file: opened for durable writes, checked, copied before an upgrade, and never deleted.

An unusable file is renamed and a new one started, because a shop must be able to trade and still have its records
tomorrow. Only a file that is not a ledger at all is left untouched and refused.
"""

from __future__ import annotations

import fcntl
import sqlite3
from contextlib import closing
from datetime import datetime
from pathlib import Path
from typing import IO

from sqlalchemy import Engine, StaticPool, create_engine
from sqlalchemy.exc import DatabaseError

from kiosk.errors import (
    CannotWrite,
    KioskError,
    LedgerBusy,
    LedgerDamaged,
    LedgerForeign,
    LedgerNewer,
    LedgerShared,
    os_reason,
)
from kiosk.store.ledger.versions import APPLICATION_ID, VERSIONS, bring_up_to_date
from kiosk.store.sqlite import make_durable

BUSY_S = 2.0
"""How long a write waits for another program to release the file."""
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
    """Open the ledger at `path`, upgraded to the newest version; with the error if a new file had to be started.

    Parameters
    ----------
    path
        The file, created if it is missing.
    now
        The time used in the names of copies.

    Raises
    ------
    LedgerBusy
        Another program holds the file.
    LedgerForeign
        The file is the database of another program and was not touched.
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
    """Return the error that a failed statement, or an unreadable value, amounts to for the ledger at `path`."""
    cause = error.orig if isinstance(error, DatabaseError) else error
    code = getattr(cause, "sqlite_errorcode", sqlite3.SQLITE_CORRUPT) & 0xFF
    if code in _BUSY:
        return LedgerBusy(path=path)
    if code in _NO_ROOM:
        return CannotWrite(path=path, detail=str(cause))
    return LedgerDamaged(path=path, detail=str(cause), kept=kept or path)


def set_aside(path: Path, kept: Path) -> None:
    """Rename a ledger to `kept`, together with its write-ahead log."""
    for ending in reversed(_BESIDE):
        beside = path.with_name(path.name + ending)
        if beside.exists():
            beside.rename(kept.with_name(kept.name + ending))


def set_aside_files(path: Path) -> list[Path]:
    """Return the ledgers beside `path` that were set aside or copied."""
    return sorted(kept for kept in path.parent.glob(f"{path.stem}.*{path.suffix}") if kept != path)


def damaged(path: Path) -> list[Path]:
    """Return the ledgers beside `path` that were set aside because they were damaged."""
    return [kept for kept in set_aside_files(path) if kept.name.startswith(f"{path.stem}.damaged-")]


def _opened(path: Path, stamp: str) -> Engine:
    engine = engine_of(path)
    try:
        found = _checked(path, stamp)
        if 0 < found < len(VERSIONS):
            _copy(path, free_path(path, f"version-{found}-{stamp}"))
        with engine.begin() as connection:
            if found < len(VERSIONS):
                bring_up_to_date(connection)
        path.chmod(0o600)
    except DatabaseError as error:
        engine.dispose()
        raise fault_of(error, path, free_path(path, f"damaged-{stamp}")) from error
    except BaseException:
        engine.dispose()
        raise
    return engine


def _checked(path: Path, stamp: str) -> int:
    """Check without changing it that a file is an intact ledger, and return its version."""
    try:
        if path.exists() and not path.stat().st_size:
            raise sqlite3.DatabaseError("it is empty, and what it held is gone")
        with closing(sqlite3.connect(path, timeout=BUSY_S)) as connection:
            (mark,) = connection.execute("PRAGMA application_id").fetchone()
            (tables,) = connection.execute("SELECT count(*) FROM sqlite_schema").fetchone()
            (found,) = connection.execute("PRAGMA user_version").fetchone()
            if tables and mark != APPLICATION_ID:
                raise LedgerForeign(path=path)
            if found > len(VERSIONS):
                kept = free_path(path, f"version-{found}-{stamp}")
                raise LedgerNewer(path=path, found=found, known=len(VERSIONS), kept=kept)
            (result,) = connection.execute("PRAGMA quick_check(1)").fetchone()
            if result != "ok":
                raise sqlite3.DatabaseError(" ".join(result.split()))
    except sqlite3.DatabaseError as error:
        raise fault_of(error, path, free_path(path, f"damaged-{stamp}")) from error
    return int(found)


def _copy(path: Path, to: Path) -> None:
    """Copy a ledger, including the content of its write-ahead log."""
    with closing(sqlite3.connect(path)) as source, closing(sqlite3.connect(to)) as target:
        source.backup(target)
    to.chmod(0o600)


def damaged_path(path: Path, now: datetime) -> Path:
    """Return a free path under which to set aside a damaged ledger."""
    return free_path(path, f"damaged-{now:%Y%m%dT%H%M%S}")


def free_path(path: Path, word: str) -> Path:
    """Return an unused path beside `path` with `word` in its name."""
    names = [word, *(f"{word}-{number}" for number in range(2, 100))]
    return next(
        name for name in (path.with_name(f"{path.stem}.{word}{path.suffix}") for word in names) if not name.exists()
    )


def locked(path: Path) -> IO[str]:
    """Lock a booth's ledger until the process ends.

    Raises
    ------
    CannotWrite
        The folder or the lock file cannot be created.
    LedgerShared
        Another booth holds the lock.
    """
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
