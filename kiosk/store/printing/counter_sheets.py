"""Which sheets the counter has printed from files, by number, so that one can be printed again for a limited time.

Noted is where a file lies and a digest of it, never what it shows: the same bytes are printed again, or nothing. A
number is given once and for all, so that one on an old slip never names somebody else's sheet.
"""

from __future__ import annotations

import contextlib
import fcntl
import hashlib
import os
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import datetime, timedelta
from pathlib import Path
from urllib.parse import unquote_to_bytes, urlsplit

from pydantic import TypeAdapter, ValidationError

from kiosk.errors import CannotWrite, os_reason
from kiosk.system.atomic_files import write_whole
from kiosk.system.clock import Clock


@dataclass(frozen=True, slots=True)
class CounterSheet:
    """A sheet that went to a queue; `file` is its address as a URI, which holds a name of any bytes (RFC 8089)."""

    number: int
    file: str
    digest: str
    queue: str
    at: datetime

    @property
    def path(self) -> Path:
        """The file."""
        return Path(os.fsdecode(unquote_to_bytes(urlsplit(self.file).path)))

    def is_of(self, pdf: bytes) -> bool:
        """Return whether a sheet is the one that was printed."""
        return _digest(pdf) == self.digest


@dataclass(frozen=True, slots=True)
class _Notes:
    last: int = 0
    sheets: tuple[CounterSheet, ...] = ()


_NOTES = TypeAdapter(_Notes)


class CounterSheets:
    """The sheets of one site, in a file of its own.

    Parameters
    ----------
    file
        Its folder is created with the first sheet.
    keep_minutes
        How long a sheet may be printed again; 0 for not at all, and nothing is noted.
    clock
        The clock; a sheet of the future, before it was set back, counts as too old.
    """

    def __init__(self, file: Path, keep_minutes: int, clock: Clock) -> None:
        self._file = file
        self._keep = timedelta(minutes=keep_minutes)
        self._clock = clock

    def note(self, path: Path, pdf: bytes, queue: str) -> int | None:
        """Note a sheet that is about to be printed, and return its number; None where none is kept.

        Raises
        ------
        CannotWrite
            It cannot be noted.
        """
        if not self._keep:
            return None
        with self._locked():
            notes = self._read()
            sheet = CounterSheet(notes.last + 1, path.resolve().as_uri(), _digest(pdf), queue, self._clock.now())
            self._write(_Notes(sheet.number, (*self._kept(notes), sheet)))
        return sheet.number

    def get(self, number: int) -> CounterSheet | None:
        """Return a sheet that may be printed again, or None; what is too old is forgotten.

        Raises
        ------
        CannotWrite
            The notes cannot be read or written.
        """
        if not self._file.exists():
            return None
        with self._locked():
            notes = self._read()
            kept = self._kept(notes)
            self._write(_Notes(notes.last, kept))
        return next((sheet for sheet in kept if sheet.number == number), None)

    def _kept(self, notes: _Notes) -> tuple[CounterSheet, ...]:
        now = self._clock.now()
        return tuple(sheet for sheet in notes.sheets if timedelta() <= now - sheet.at < self._keep)

    def _read(self) -> _Notes:
        try:
            return _NOTES.validate_json(self._file.read_bytes())
        except FileNotFoundError:
            return _Notes()
        except ValidationError as error:
            raise CannotWrite(path=self._file, detail="it is damaged; remove it") from error

    def _write(self, notes: _Notes) -> None:
        write_whole(self._file, _NOTES.dump_json(notes) + b"\n")

    @contextlib.contextmanager
    def _locked(self) -> Iterator[None]:
        """Hold the file against another command, so that two sheets never get the same number."""
        try:
            self._file.parent.mkdir(parents=True, exist_ok=True)
            lock = os.open(self._file.with_suffix(".lock"), os.O_RDWR | os.O_CREAT | os.O_CLOEXEC, 0o600)
            try:
                fcntl.flock(lock, fcntl.LOCK_EX)
                yield
            finally:
                os.close(lock)
        except OSError as error:
            raise CannotWrite(path=self._file, detail=os_reason(error)) from error


def _digest(pdf: bytes) -> str:
    return hashlib.sha256(pdf).hexdigest()
