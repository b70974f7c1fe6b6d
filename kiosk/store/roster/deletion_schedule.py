"""The folders of photos that this booth has promised to empty, whatever its settings say by then."""

from __future__ import annotations

import json
import logging
from dataclasses import dataclass
from datetime import date
from pathlib import Path

from kiosk.errors import CannotWrite, os_reason
from kiosk.store.roster.photo_export import delete_due, promised_day
from kiosk.system.atomic_files import write_whole

_log = logging.getLogger(__name__)


@dataclass(frozen=True, slots=True)
class DeletionSchedule:
    """A list of folders in a file that outlasts the event.

    Attributes
    ----------
    file
        Made with the first promise.
    """

    file: Path

    def note(self, folder: Path) -> None:
        """Remember a folder before the first photo goes into it.

        Raises
        ------
        CannotWrite
            It cannot be remembered; then nothing must be promised.
        """
        self._write({*self._folders(), folder.resolve()})

    def keep(self, today: date) -> int:
        """Delete the photos whose day has come, in every folder; return how many there were.

        A folder that cannot be emptied or reached is told of in the log and stays on the list for the next time.
        """
        deleted, left = 0, set()
        for folder in self._folders():
            try:
                deleted += delete_due(folder, today)
                if folder.is_dir() and promised_day(folder) is None:
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
