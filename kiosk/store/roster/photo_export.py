"""The photos that people let the organiser have: one JPEG a person, named by id, gone on the day that was promised.

The folder remembers the day itself, so that any booth that opens it keeps the promise, whatever its settings say then.
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
        Where they lie; made when the first photo comes.
    delete_on
        The day on which all are deleted, as the people were told. A folder that was promised an earlier day keeps it.
    """

    folder: Path
    delete_on: date

    def put(self, person_id: str, jpeg: bytes) -> Path:
        """Write a person's photo whole, over an earlier one of theirs, and return its file.

        Raises
        ------
        CannotWrite
            Nothing was left behind; or the folder holds other files.
        """
        try:
            self.folder.mkdir(parents=True, exist_ok=True, mode=0o700)
            if promised_day(self.folder) is None:
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
        """Return a person's photo, or None where none is kept or it cannot be read."""
        try:
            return self._file(person_id).read_bytes()
        except OSError:
            return None

    def _file(self, person_id: str) -> Path:
        return self.folder / f"{quote(person_id, safe='')}{_ENDING}"


def promised_day(folder: Path) -> date | None:
    """Return the day on which a folder's photos are deleted, or None where it is no such folder.

    Raises
    ------
    CannotWrite
        Its day cannot be read.
    """
    try:
        return date.fromisoformat((folder / _DAY).read_text(encoding="ascii").strip())
    except FileNotFoundError:
        return None
    except (OSError, ValueError) as error:
        raise CannotWrite(path=folder / _DAY, detail="the day of deletion in it cannot be read") from error


def delete_due(folder: Path, today: date) -> int:
    """Delete a folder's photos if their day has come, then the day itself; return how many there were.

    What a power cut has left of a photo or of the day goes with them.

    Raises
    ------
    CannotWrite
        Some could not be deleted; the day stays, so that the next time tries again.
    """
    day = promised_day(folder)
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
