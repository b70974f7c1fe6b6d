"""The files on a camera: learned of through its events, read, and deleted."""

from __future__ import annotations

import time
from collections.abc import Iterable, Iterator
from dataclasses import dataclass

from kiosk.devices.gphoto2.connect import Connection, ConnectionLost
from kiosk.errors import CameraFault

_JPEG_SUFFIXES = (".jpg", ".jpeg")
_DRAIN_WAIT_MS = 1
_LONGEST_DRAIN_S = 2.0
"""By then a body has reported all its events that waited: an EOS body begins with some hundred, 1 ms each."""


@dataclass(frozen=True, slots=True)
class OnCamera:
    """A file on the camera."""

    folder: str
    name: str

    @property
    def is_jpeg(self) -> bool:
        """Whether its name is that of a JPEG."""
        return self.name.lower().endswith(_JPEG_SUFFIXES)


@dataclass
class CameraFiles:
    """The files of one connection."""

    connection: Connection

    def next_added(self, wait_ms: int) -> list[OnCamera]:
        """Return the next file that the camera reports within `wait_ms`, as a list of one or none."""
        return next(([file] for file in self._events(wait_ms)), [])

    def waiting(self) -> list[OnCamera]:
        """Return all files that the camera has reported by now, and leave no event unread.

        Raises
        ------
        CameraFault
            The camera does not stop reporting.
        """
        return list(self._events(_DRAIN_WAIT_MS))

    def listed_last(self, count: int) -> list[OnCamera]:
        """Return the last files by folder and name of those that the camera lists, at most `count`.

        Raises
        ------
        ConnectionLost
            The camera is gone.
        """
        files = sorted(self._listed("/"), key=lambda file: (file.folder, file.name))
        return files[-count:]

    def content(self, file: OnCamera) -> bytes:
        """Return a file's bytes."""
        kind = self.connection.library.GP_FILE_TYPE_NORMAL
        return self.connection.copied("file_get", file.folder, file.name, kind)

    def delete(self, files: Iterable[OnCamera]) -> None:
        """Delete files from the camera; files that it refuses to delete are skipped.

        Raises
        ------
        ConnectionLost
            The camera is gone.
        """
        for file in files:
            try:
                self.connection.call("file_delete", file.folder, file.name)
            except ConnectionLost:
                raise
            except CameraFault:
                continue

    def _listed(self, folder: str) -> Iterator[OnCamera]:
        try:
            names, folders = (
                [name for name, _ in self.connection.call(listing, folder).items()]
                for listing in ("folder_list_files", "folder_list_folders")
            )
        except ConnectionLost:
            raise
        except CameraFault:
            return
        yield from (OnCamera(folder, name) for name in names)
        for name in folders:
            yield from self._listed(f"{folder.rstrip('/')}/{name}")

    def _events(self, wait_ms: int) -> Iterator[OnCamera]:
        library = self.connection.library
        end_s = time.monotonic() + _LONGEST_DRAIN_S + wait_ms / 1000
        while time.monotonic() < end_s:
            kind, data = self.connection.call("wait_for_event", wait_ms)
            if kind == library.GP_EVENT_TIMEOUT:
                return
            if kind == library.GP_EVENT_FILE_ADDED:
                yield OnCamera(data.folder, data.name)
        raise CameraFault(detail="it is busy")
