"""The journal of print jobs: what was begun is on the disk before the spooler hears of it.

    sending -> sent -> printed | not_printed | unknown

A key is printed at most once. Only `not_printed` may be tried again; whatever a crash finds `sending` or `sent` is
`unknown` from then on, because it may have come out, and a person is asked. The journal knows no sitter.
"""

from __future__ import annotations

import re
from dataclasses import replace
from pathlib import Path

from pydantic import TypeAdapter, ValidationError

from kiosk.core.journal import Entry
from kiosk.files import write_whole

_KEY = re.compile(r"[A-Za-z0-9][A-Za-z0-9._-]{0,99}")


_ENTRY = TypeAdapter(Entry)


class Jobs:
    """The journal of one booth, a small file for each key.

    Opening it settles what a crash has left in flight.

    Raises
    ------
    OSError
        The folder cannot be made or read.
    """

    def __init__(self, folder: Path) -> None:
        self._folder = folder
        folder.mkdir(parents=True, exist_ok=True)
        self.interrupted = tuple(entry for entry in self._all() if entry.state in ("sending", "sent"))
        for entry in self.interrupted:
            self.put(replace(entry, state="unknown"))

    def get(self, key: str) -> Entry | None:
        """Return where a sheet stands, or None where it was never begun; a damaged entry is `unknown`."""
        path = self._path(key)
        try:
            return _ENTRY.validate_json(path.read_bytes())
        except FileNotFoundError:
            return None
        except (OSError, ValidationError):
            return Entry(key, "unknown", "")

    def put(self, entry: Entry) -> None:
        """Write an entry whole.

        Raises
        ------
        OSError
            The entry before still stands.
        """
        write_whole(self._path(entry.key), _ENTRY.dump_json(entry) + b"\n")

    def _all(self) -> list[Entry]:
        found = (self.get(path.stem) for path in sorted(self._folder.glob("*.json")) if _KEY.fullmatch(path.stem))
        return [entry for entry in found if entry is not None]

    def _path(self, key: str) -> Path:
        if not _KEY.fullmatch(key):
            raise OSError(0, f"the job key {key[:100]!r} cannot be a file name")
        return self._folder / f"{key}.json"
