"""Daily copies of the ledger on a second medium, and the way back from one.

A copy is one file, whose name has its day and the beginning of its SHA-256: no part of it can change unnoticed, not
even on a medium that hands back what was never written. The copies of one ledger make room for later ones of the same
alone: when a ledger is lost and another is begun, the way back to the lost one stays.
"""

from __future__ import annotations

import hashlib
import os
import re
import sqlite3
from contextlib import closing
from datetime import date, datetime
from pathlib import Path

from kiosk.errors import CannotWrite, CopyDamaged, LedgerFault, os_reason
from kiosk.store.ledger.file import fault_of, free_path, locked, set_aside
from kiosk.store.ledger.versions import APPLICATION_ID, VERSIONS
from kiosk.system.atomic_files import interrupted, sync_folder, write_whole

_DIGITS = 16
"""Of the SHA-256 in a name: 64 bits, against accidents."""
_NAME = re.compile(rf"ledger\.(\d{{4}}-\d\d-\d\d)\.([0-9a-f]{{{_DIGITS}}})\.sqlite3")
_JOURNAL_BYTES = slice(18, 20)
"""The bytes of a database's header that ask for a write-ahead log beside it, 2, or for none, 1
(https://www.sqlite.org/fileformat2.html, 1.3.3)."""


def copies_in(folder: Path) -> list[Path]:
    """Return the copies in a folder by their days, the newest last."""
    return sorted(path for path in folder.iterdir() if _NAME.fullmatch(path.name))


def day_of(copy: Path) -> date:
    """Return the day of a copy by its name."""
    match = _NAME.fullmatch(copy.name)
    assert match is not None
    return date.fromisoformat(match[1])


def newest_in(folder: Path) -> Path:
    """Return the newest copy in a folder.

    Raises
    ------
    CopyDamaged
        There is none, or an older one is of another ledger, so that somebody must choose.
    """
    copies = copies_in(folder)
    if not copies:
        raise CopyDamaged(path=folder, detail="no copy of a ledger is in this folder")
    *older, newest = copies
    beginning = _beginning_of(newest)
    for copy in reversed(older):
        if _beginning_of(copy) not in (None, beginning):
            detail = f"its newest, {newest.name}, is of another ledger than {copy.name}; name the copy that you want"
            raise CopyDamaged(path=folder, detail=detail)
    return newest


def copy_ledger(ledger: Path, folder: Path, day: date, kept: int) -> Path:
    """Copy a ledger that may be in use, check the copy on its medium, and remove all but its newest `kept` copies.

    Raises
    ------
    LedgerFault
        The ledger is missing, damaged or held; the copies are as before.
    CannotWrite
        The folder is missing or full, or the medium does not hand back what was written.
    """
    try:
        content = _snapshot(ledger)
    except sqlite3.DatabaseError as error:
        raise fault_of(error, ledger) from error
    copy = folder / f"ledger.{day.isoformat()}.{_digest(content)}.sqlite3"
    try:
        for left in interrupted(folder, "ledger.*"):
            left.unlink()
        write_whole(copy, content)
        if _from_the_medium(copy) != content:
            copy.unlink()
            raise CannotWrite(path=copy, detail="the medium does not hand back what was written")
        copies = [path for path in copies_in(folder) if path == copy or day_of(path) != day]
        for old in set(copies_in(folder)) - set(copies[-kept:]) - {copy}:
            if _beginning_of(old) in (None, _beginning(content)):
                old.unlink()
        sync_folder(folder)
    except OSError as error:
        raise CannotWrite(path=copy, detail=os_reason(error)) from error
    return copy


def restore(copy: Path, ledger: Path, now: datetime) -> Path | None:
    """Put a copy in the ledger's place, and return where the ledger that was there is kept, if there was one.

    Raises
    ------
    LedgerShared
        A booth is running on the ledger.
    CopyDamaged
        The copy is missing, not a copy of a ledger, or not as it was written; the ledger is as before.
    CannotWrite
        The ledger's folder is full or cannot be written; the ledger is as before.
    """
    with locked(ledger):
        content = checked_copy(copy)
        beside = free_path(ledger, f"restored-{now:%Y%m%dT%H%M%S}")
        try:
            write_whole(beside, content)
        except OSError as error:
            raise CannotWrite(path=beside, detail=os_reason(error)) from error
        kept = None
        if ledger.exists():
            _empty_the_log(ledger)
            kept = free_path(ledger, f"replaced-{now:%Y%m%dT%H%M%S}")
            set_aside(ledger, kept)
        beside.rename(ledger)
        sync_folder(ledger.parent)
    return kept


def checked_copy(copy: Path) -> bytes:
    """Return the content of a copy.

    Raises
    ------
    CopyDamaged
        It is missing, not a copy of a ledger, or not as it was written.
    """
    name = _NAME.fullmatch(copy.name)
    if name is None:
        raise CopyDamaged(path=copy, detail="its name is not that of a copy, which has a day and a checksum")
    try:
        content = copy.read_bytes()
    except OSError as error:
        raise CopyDamaged(path=copy, detail=os_reason(error)) from error
    if _digest(content) != name[2]:
        raise CopyDamaged(path=copy, detail="its content does not have the checksum in its name")
    try:
        with closing(sqlite3.connect(":memory:")) as connection:
            connection.deserialize(content)
            _check(connection)
            (found,) = connection.execute("PRAGMA user_version").fetchone()
    except sqlite3.DatabaseError as error:
        raise CopyDamaged(path=copy, detail=str(error)) from error
    if found > len(VERSIONS):
        raise CopyDamaged(path=copy, detail=f"its version is {found}, and this program supports up to {len(VERSIONS)}")
    return content


def _snapshot(ledger: Path) -> bytes:
    """Return the ledger at one moment, its write-ahead log included, as one intact file (SQLite's backup interface)."""
    if not ledger.is_file():
        raise LedgerFault(path=ledger, detail="there is no such file")
    with (
        closing(sqlite3.connect(f"{ledger.resolve().as_uri()}?mode=ro", uri=True)) as source,
        closing(sqlite3.connect(":memory:")) as memory,
    ):
        source.backup(memory)
        _check(memory)
        content = bytearray(memory.serialize())
    content[_JOURNAL_BYTES] = b"\x01\x01"
    return bytes(content)


def _beginning_of(copy: Path) -> tuple[str, str] | None:
    """Return the beginning of a copy's ledger; None as well where the copy cannot be read."""
    try:
        return _beginning(copy.read_bytes())
    except OSError:
        return None


def _beginning(content: bytes) -> tuple[str, str] | None:
    """Return the day and the moment of a ledger's first session, the same in all its copies; None without one."""
    try:
        with closing(sqlite3.connect(":memory:")) as connection:
            connection.deserialize(content)
            first: tuple[str, str] | None = connection.execute(
                "SELECT day, began_at FROM session ORDER BY id LIMIT 1"
            ).fetchone()
    except sqlite3.DatabaseError:
        return None
    return first


def _check(connection: sqlite3.Connection) -> None:
    (result,) = connection.execute("PRAGMA integrity_check(1)").fetchone()
    if result != "ok":
        raise sqlite3.DatabaseError(" ".join(result.split()))
    (mark,) = connection.execute("PRAGMA application_id").fetchone()
    if mark != APPLICATION_ID:
        raise sqlite3.DatabaseError("it is not a booth's ledger")


def _empty_the_log(ledger: Path) -> None:
    """Bring the write-ahead log into the ledger, so that one rename moves all of it; a damaged one keeps its log."""
    try:
        with closing(sqlite3.connect(ledger)) as connection:
            connection.execute("PRAGMA wal_checkpoint(TRUNCATE)")
    except sqlite3.DatabaseError:
        return


def _from_the_medium(path: Path) -> bytes:
    """Return a file's content, read from the medium again rather than from memory where the system can be asked to."""
    with path.open("rb") as file:
        os.posix_fadvise(file.fileno(), 0, 0, os.POSIX_FADV_DONTNEED)
        return file.read()


def _digest(content: bytes) -> str:
    return hashlib.sha256(content).hexdigest()[:_DIGITS]
