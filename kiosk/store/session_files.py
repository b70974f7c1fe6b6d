"""One sitter's files, in a folder that is wiped at the end of every session and at start-up.

The folder belongs on a tmpfs, where overwriting reaches the only copy; on a disk, the file system may keep old blocks.
"""

from __future__ import annotations

import contextlib
from collections.abc import Collection
from pathlib import Path

from kiosk.errors import CannotWrite, os_reason
from kiosk.system.atomic_files import destroy

_MARK = ".holdstill-session"


class SessionFiles:
    """The session folder of one booth.

    Raises
    ------
    CannotWrite
        The folder cannot be created, or holds files that are not a session's.
    """

    def __init__(self, folder: Path) -> None:
        self.folder = folder
        try:
            folder.mkdir(parents=True, exist_ok=True, mode=0o700)
            if any(folder.iterdir()) and not (folder / _MARK).exists():
                raise CannotWrite(path=folder, detail="the folder holds files that are not a session's")
            (folder / _MARK).touch(mode=0o600)
        except OSError as error:
            raise CannotWrite(path=folder, detail=os_reason(error)) from error
        self.wipe()

    def put(self, name: str, data: bytes) -> None:
        """Store `data` under `name` until the session ends.

        Raises
        ------
        CannotWrite
            The data cannot be written.
        """
        path = self.folder / name
        part = path.with_suffix(path.suffix + ".part")
        try:
            part.touch(mode=0o600)
            part.write_bytes(data)
            part.replace(path)
        except OSError as error:
            raise CannotWrite(path=path, detail=os_reason(error)) from error

    def get(self, name: str) -> bytes:
        """Return the data stored under `name`.

        Raises
        ------
        CannotWrite
            The file is gone or cannot be read.
        """
        try:
            return (self.folder / name).read_bytes()
        except OSError as error:
            raise CannotWrite(path=self.folder / name, detail=os_reason(error)) from error

    def drop(self, name: str) -> None:
        """Overwrite and remove the data stored under `name`, if it is still there."""
        with contextlib.suppress(FileNotFoundError):
            destroy(self.folder / name)

    def names(self) -> list[str]:
        """Return the names of the stored files; none if the folder is gone."""
        with contextlib.suppress(FileNotFoundError):
            return sorted(path.name for path in self.folder.iterdir() if path.name != _MARK)
        return []

    def wipe(self, keep: Collection[str] = ()) -> None:
        """Overwrite and remove all files of the session, except those named in `keep`.

        Raises
        ------
        CannotWrite
            A file could not be removed.
        """
        try:
            for name in self.names():
                if name not in keep:
                    destroy(self.folder / name)
        except OSError as error:
            raise CannotWrite(path=self.folder, detail=os_reason(error)) from error
