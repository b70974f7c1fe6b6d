"""The journal of print jobs: what was begun is on the disk before the spooler hears of it.

    sending -> sent -> printed | not_printed | unknown

A key is printed at most once. Only `not_printed` may be tried again; whatever a crash leaves `sending` or `sent` is
`unknown` from then on, because it may have come out, and a person is asked. The journal knows no sitter.

One process at a time has a sheet in flight, by a lock on the folder that ends with the process. So the attendant may
print a ruler page while the booth is open, and neither takes the other's sheet for what a crash has left.
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

KEPT = 1000
"""How many ended sheets are remembered: more than a day's, long after which no sheet is sent again."""

_KEY = re.compile(r"[A-Za-z0-9][A-Za-z0-9._-]{0,99}")
_ENTRY = TypeAdapter(Entry)
_LOCK = ".turn"

_log = logging.getLogger(__name__)


class JobJournal:
    """The journal of one booth, a small file for each key.

    Parameters
    ----------
    folder
        Made when it is first used.
    """

    def __init__(self, folder: Path) -> None:
        self._folder = folder
        self._settled = False

    def get(self, key: str) -> Entry | None:
        """Return where a sheet stands, or None where it was never begun; a damaged entry is `unknown`.

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
            raise _refused(path, error) from error

    def put(self, entry: Entry) -> None:
        """Write an entry whole.

        Raises
        ------
        CannotWrite
            The entry before still stands.
        """
        path = self._path(entry.key)
        try:
            self._folder.mkdir(parents=True, exist_ok=True)
            write_whole(path, _ENTRY.dump_json(entry) + b"\n")
        except OSError as error:
            raise _refused(path, error) from error

    @contextlib.contextmanager
    def turn(self) -> Iterator[bool]:
        """Try to be the only process with a sheet in flight, and tell whether it is so.

        The first turn of a process settles what a crash has left in flight.

        Raises
        ------
        CannotWrite
            The journal cannot be written.
        """
        try:
            self._folder.mkdir(parents=True, exist_ok=True)
            lock = os.open(self._folder / _LOCK, os.O_RDWR | os.O_CREAT | os.O_CLOEXEC, 0o600)
        except OSError as error:
            raise _refused(self._folder, error) from error
        try:
            try:
                fcntl.flock(lock, fcntl.LOCK_EX | fcntl.LOCK_NB)
            except BlockingIOError:
                yield False
                return
            self._settle()
            yield True
        finally:
            os.close(lock)

    def _settle(self) -> None:
        if self._settled:
            return
        entries = [self.get(key) for key in self._keys()]
        for entry in entries:
            if entry is not None and entry.state in ("sending", "sent"):
                _log.warning("a sheet was with %s when the booth stopped: look in its tray", entry.printer)
                self.put(replace(entry, state="unknown"))
        self._tidy()
        for key in self._keys()[KEPT:]:
            self._path(key).unlink(missing_ok=True)
        self._settled = True

    def _tidy(self) -> None:
        """Remove what a power cut has left of an entry; the entry before still stands."""
        try:
            for left in interrupted(self._folder, "*.json"):
                destroy(left)
        except OSError as error:
            raise _refused(self._folder, error) from error

    def _keys(self) -> list[str]:
        """Return the keys, newest first."""
        found = [path for path in self._folder.glob("*.json") if _KEY.fullmatch(path.stem)]
        return [path.stem for path in sorted(found, key=lambda path: -path.stat().st_mtime_ns)]

    def _path(self, key: str) -> Path:
        if not _KEY.fullmatch(key):
            raise CannotWrite(path=self._folder, detail=f"the job key {key[:100]!r} cannot be a file name")
        return self._folder / f"{key}.json"


def _refused(path: Path, error: OSError) -> CannotWrite:
    return CannotWrite(path=path, detail=os_reason(error))
