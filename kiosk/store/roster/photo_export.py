"""The photos that guests share with the organiser: one JPEG per person, named by id, deleted on the promised day.

The folder itself records the day, so that any booth that opens it keeps the promise, whatever its settings say.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from pathlib import Path
from urllib.parse import quote

from kiosk.errors import CannotWrite, os_reason
from kiosk.system.atomic_files import destroy, interrupted, write_whole

_DAY = "delete-on.txt"
_ENDING = ".jpg"


@dataclass(frozen=True, slots=True)
class PhotoExport:
    """A folder of photos for an organiser.

    Attributes
    ----------
    folder
        The folder of the photos, created with the first one.
    delete_on
        The day on which all photos are deleted, as promised to the guests. A folder with an earlier day keeps it.
    """

    folder: Path
    delete_on: date

    def put(self, person_id: str, jpeg: bytes) -> Path:
        """Write a person's photo atomically, replacing an earlier one, and return its path.

        Raises
        ------
        CannotWrite
            The photo cannot be written and nothing was left behind, or the folder holds other files.
        """
        try:
            self.folder.mkdir(parents=True, exist_ok=True, mode=0o700)
            if deletion_day(self.folder) is None:
                if set(self.folder.iterdir()) - set(interrupted(self.folder, _DAY)):
                    raise CannotWrite(
                        path=self.folder, detail="it holds other files; photos need a folder of their own"
                    )
                write_whole(self.folder / _DAY, f"{self.delete_on.isoformat()}\n".encode())
            path = self._file(person_id)
            write_whole(path, jpeg)
        except OSError as error:
            raise CannotWrite(path=self.folder, detail=os_reason(error)) from error
        return path

    def get(self, person_id: str) -> bytes | None:
        """Return a person's photo, or None if there is none or it cannot be read."""
        try:
            return self._file(person_id).read_bytes()
        except OSError:
            return None

    def _file(self, person_id: str) -> Path:
        return self.folder / f"{quote(person_id, safe='')}{_ENDING}"


def deletion_day(folder: Path) -> date | None:
    """Return the day on which a folder's photos are to be deleted, or None if it is not a folder of photos.

    Raises
    ------
    CannotWrite
        The day cannot be read.
    """
    try:
        return date.fromisoformat((folder / _DAY).read_text(encoding="ascii").strip())
    except FileNotFoundError:
        return None
    except (OSError, ValueError) as error:
        raise CannotWrite(path=folder / _DAY, detail="the day of deletion in it cannot be read") from error


def delete_if_due(folder: Path, today: date) -> int:
    """Delete a folder's photos if their day has come, and return their number.

    Half-written files that a power cut has left are deleted as well, and the record of the day comes last.

    Raises
    ------
    CannotWrite
        Some photos could not be deleted; the day stays recorded for another try.
    """
    day = deletion_day(folder)
    if day is None or today < day:
        return 0
    photos = sorted(folder.glob(f"*{_ENDING}"))
    try:
        for file in (*photos, *interrupted(folder, f"*{_ENDING}"), *interrupted(folder, _DAY)):
            destroy(file)
        (folder / _DAY).unlink()
    except OSError as error:
        raise CannotWrite(path=folder, detail=os_reason(error)) from error
    return len(photos)
