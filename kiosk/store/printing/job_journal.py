"""The journal of print jobs: an entry is on disk before the spooler receives the job.

    sending -> sent -> printed | not_printed | unknown

A key is printed at most once. Only `not_printed` permits another try. An entry that a crash leaves at `sending` or
`sent` becomes `unknown`, because the sheet may have come out, and a person is asked. The journal holds nothing about
sitters.

Only one process at a time has a sheet in flight, by a lock on the folder that ends with the process. The attendant can
thus print a ruler page while the booth is open, and neither process mistakes the other's sheet for a crash's remains.
"""

from __future__ import annotations

import contextlib
import fcntl
import logging
import os
import re
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path

from pydantic import TypeAdapter, ValidationError

from kiosk.core.print_scale.print_journal import Entry
from kiosk.errors import CannotWrite, os_reason
from kiosk.system.atomic_files import destroy, interrupted, write_whole

MOST_ENTRIES = 1000
"""The number of finished entries to keep: more than a day's, and no sheet is sent again after a day."""

_KEY = re.compile(r"[A-Za-z0-9][A-Za-z0-9._-]{0,99}")
_ENTRY = TypeAdapter(Entry)
_LOCK = ".turn"

_log = logging.getLogger(__name__)


class JobJournal:
    """The journal of one booth, with one small file per key.

    Parameters
    ----------
    folder
        The journal's folder, created on first use.
    """

    def __init__(self, folder: Path) -> None:
        self._folder = folder
        self._settled = False

    def get(self, key: str) -> Entry | None:
        """Return a sheet's entry, or None if there is none; a damaged entry counts as `unknown`.

        Raises
        ------
        CannotWrite
            The journal cannot be read.
        """
        path = self._path(key)
        try:
            return _ENTRY.validate_json(path.read_bytes())
        except FileNotFoundError:
            return None
        except ValidationError:
            return Entry(key, "unknown", "")
        except OSError as error:
            raise _cannot_write(path, error) from error

    def put(self, entry: Entry) -> None:
        """Write an entry atomically.

        Raises
        ------
        CannotWrite
            The entry cannot be written; the previous one remains.
        """
        path = self._path(entry.key)
        try:
            self._folder.mkdir(parents=True, exist_ok=True)
            write_whole(path, _ENTRY.dump_json(entry) + b"\n")
        except OSError as error:
            raise _cannot_write(path, error) from error

    @contextlib.contextmanager
    def turn(self) -> Iterator[bool]:
        """Try to become the only process with a sheet in flight, and yield whether this succeeded.

        The first turn of a process marks what a crash has left in flight as `unknown`.

        Raises
        ------
        CannotWrite
            The journal cannot be written.
        """
        try:
            self._folder.mkdir(parents=True, exist_ok=True)
            lock = os.open(self._folder / _LOCK, os.O_RDWR | os.O_CREAT | os.O_CLOEXEC, 0o600)
        except OSError as error:
            raise _cannot_write(self._folder, error) from error
        try:
            try:
                fcntl.flock(lock, fcntl.LOCK_EX | fcntl.LOCK_NB)
            except BlockingIOError:
                yield False
                return
            self._mark_unknown()
            yield True
        finally:
            os.close(lock)

    def _mark_unknown(self) -> None:
        if self._settled:
            return
        entries = [self.get(key) for key in self._keys()]
        for entry in entries:
            if entry is not None and entry.state in ("sending", "sent"):
                _log.warning("a sheet was with %s when the booth stopped: look in its tray", entry.printer)
                self.put(replace(entry, state="unknown"))
        self._tidy()
        for key in self._keys()[MOST_ENTRIES:]:
            self._path(key).unlink(missing_ok=True)
        self._settled = True

    def _tidy(self) -> None:
        """Remove half-written files that a power cut has left; the previous entries remain."""
        try:
            for left in interrupted(self._folder, "*.json"):
                destroy(left)
        except OSError as error:
            raise _cannot_write(self._folder, error) from error

    def _keys(self) -> list[str]:
        """Return all keys, newest first."""
        found = [path for path in self._folder.glob("*.json") if _KEY.fullmatch(path.stem)]
        return [path.stem for path in sorted(found, key=lambda path: -path.stat().st_mtime_ns)]

    def _path(self, key: str) -> Path:
        if not _KEY.fullmatch(key):
            raise CannotWrite(path=self._folder, detail=f"the job key {key[:100]!r} cannot be a file name")
        return self._folder / f"{key}.json"


def _cannot_write(path: Path, error: OSError) -> CannotWrite:
    return CannotWrite(path=path, detail=os_reason(error))
