"""Files that arrive in a folder: distinguished by inode, size and time instead of by name, and used once complete."""

from __future__ import annotations

import os
import time
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

from kiosk.errors import CameraFault

SETTLED_S = 0.2
"""How long a file must not have changed before it is read: some writes of a slow card or network (practice)."""

PAUSE_S = 2.0
"""How long a sender may pause in the middle of a file; one that changes after a longer rest is another picture of the
same name (practice)."""

SUFFIXES = (".jpg", ".jpeg", ".heic", ".heif")


@dataclass(frozen=True, slots=True)
class FileState:
    """A file as it is now; one of the same name, from a camera whose count has wrapped, differs."""

    inode: int
    size: int
    changed_ns: int


@dataclass(slots=True)
class _Arrival:
    version: FileState
    changed_s: float
    is_done: bool = False
    is_wanted: bool = True
    is_put_off: bool = False

    def is_another(self, version: FileState, now_s: float) -> bool:
        """Return whether the file under this name is a new one, not this one still being written."""
        return version != self.version and now_s - self.changed_s > PAUSE_S


class Arrivals:
    """What arrives in a folder and in those below it.

    A name that begins with a dot is a program's own, such as one that is still writing, and is passed over.

    Parameters
    ----------
    folder
        Where the pictures come in.
    """

    def __init__(self, folder: Path) -> None:
        self._folder = folder
        self._seen: dict[Path, _Arrival] = {}

    def begin(self) -> None:
        """Mark the files that are there already as never to be used.

        Raises
        ------
        CameraFault
            There is no such folder.
        """
        now_s = time.monotonic()
        self._seen = {path: _Arrival(version, now_s, is_done=True, is_wanted=False) for path, version in self._files()}

    def forget(self) -> None:
        """Mark all files that have arrived, or begun to arrive, as unwanted.

        Raises
        ------
        CameraFault
            The folder is gone.
        """
        self._look()
        for arrival in self._seen.values():
            arrival.is_wanted = False

    def settled(self) -> list[tuple[Path, bool]]:
        """Return the files that no longer change and are not `done`, in the order in which they began to arrive.

        Each with whether it is wanted.

        Raises
        ------
        CameraFault
            The folder is gone.
        """
        self._look()
        now_s = time.monotonic()
        waiting = [(path, each) for path, each in self._seen.items() if not each.is_done and not each.is_put_off]
        return [(path, each.is_wanted) for path, each in waiting if now_s - each.changed_s >= SETTLED_S]

    def done(self, path: Path) -> None:
        """Do not return a file again until another one arrives under its name."""
        self._seen[path].is_done = True

    def put_off(self, path: Path) -> None:
        """Return an incomplete file again only after more of it has arrived."""
        self._seen[path].is_put_off = True

    def _look(self) -> None:
        """Register new, changed and removed files; of several that arrive at once the oldest comes first."""
        now_s = time.monotonic()
        found = dict(self._files())
        self._seen = {path: arrival for path, arrival in self._seen.items() if path in found}
        for path, version in sorted(found.items(), key=lambda pair: (pair[1].changed_ns, pair[0].name)):
            arrival = self._seen.get(path)
            if arrival is None or (arrival.is_done and arrival.is_another(version, now_s)):
                self._seen.pop(path, None)
                self._seen[path] = _Arrival(version, now_s)
            elif arrival.version != version:
                arrival.version, arrival.changed_s, arrival.is_put_off = version, now_s, False

    def _files(self) -> Iterator[tuple[Path, FileState]]:
        folders = [self._folder]
        while folders:
            folder = folders.pop()
            try:
                entries = list(os.scandir(folder))
            except OSError as error:
                if folder != self._folder:
                    continue
                raise CameraFault(detail=f"its folder {self._folder} cannot be read") from error
            for entry in entries:
                try:
                    if entry.name.startswith("."):
                        continue
                    if entry.is_dir(follow_symlinks=False):
                        folders.append(Path(entry.path))
                    elif entry.name.lower().endswith(SUFFIXES) and entry.is_file():
                        found = entry.stat()
                        yield Path(entry.path), FileState(found.st_ino, found.st_size, found.st_mtime_ns)
                except OSError:
                    continue
