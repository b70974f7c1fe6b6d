"""The folders whose photos this booth has promised to delete, whatever its settings say by then."""

from __future__ import annotations

import json
import logging
from dataclasses import dataclass
from datetime import date
from pathlib import Path

from kiosk.errors import CannotWrite, os_reason
from kiosk.store.roster.photo_export import delete_if_due, deletion_day
from kiosk.system.atomic_files import write_whole

_log = logging.getLogger(__name__)


@dataclass(frozen=True, slots=True)
class DeletionSchedule:
    """A list of folders, in a file that outlasts the event.

    Attributes
    ----------
    file
        The list's file, created with the first promise.
    """

    file: Path

    def add(self, folder: Path) -> None:
        """Add a folder before the first photo is written to it.

        Raises
        ------
        CannotWrite
            The list cannot be written, so that no deletion may be promised.
        """
        self._write({*self._folders(), folder.resolve()})

    def carry_out(self, today: date) -> int:
        """Delete the photos that are due by `today` in all folders, and return their number.

        A folder that cannot be emptied or reached is logged and stays on the list for the next time.

        Raises
        ------
        CannotWrite
            The list cannot be read or written.
        """
        deleted, left = 0, set()
        for folder in self._folders():
            try:
                deleted += delete_if_due(folder, today)
                if folder.is_dir() and deletion_day(folder) is None:
                    continue
            except CannotWrite as error:
                _log.error("photos that were to be deleted are still there: %s", error)
            left.add(folder)
        if left != self._folders():
            self._write(left)
        return deleted

    def _folders(self) -> set[Path]:
        try:
            return {Path(name) for name in json.loads(self.file.read_text(encoding="utf-8"))}
        except FileNotFoundError:
            return set()
        except (OSError, ValueError) as error:
            raise CannotWrite(path=self.file, detail="the list of promised folders in it cannot be read") from error

    def _write(self, folders: set[Path]) -> None:
        try:
            self.file.parent.mkdir(parents=True, exist_ok=True)
            write_whole(self.file, json.dumps(sorted(map(str, folders)), indent=1).encode())
        except OSError as error:
            raise CannotWrite(path=self.file, detail=os_reason(error)) from error
