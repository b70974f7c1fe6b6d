"""One shot: captured, downloaded at once, and afterwards taken off the camera."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field

from kiosk.devices.driver import START_OF_IMAGE
from kiosk.devices.gphoto2.connect import Connection, ConnectionLost
from kiosk.errors import CameraCardFull, CameraFault

_JPEG_SUFFIXES = (".jpg", ".jpeg")
_PARTNER_WAIT_MS = 1000
_DRAIN_WAIT_MS = 1
_MOST_EVENTS = 100


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
class Shooting:
    """The captures of one connection.

    Attributes
    ----------
    keep
        Whether files stay on the camera's card.
    """

    connection: Connection
    keep: bool = False
    _left: list[OnCamera] = field(default_factory=list)

    def shoot(self) -> bytes:
        """Return the still as the camera wrote it.

        A body set to raw and JPEG delivers two files in either order; the JPEG is waited for and used.

        Raises
        ------
        CameraFault
            The camera refused, or only a raw file came.
        CameraCardFull
            Pictures are to stay on the card, and it has no room.
        """
        try:
            path = self.connection.call("capture", self.connection.library.GP_CAPTURE_IMAGE)
        except CameraFault:
            if self.keep:
                self.check_card()
            raise
        files = [OnCamera(path.folder, path.name)]
        try:
            jpeg = self._downloaded(files)
            if not jpeg:
                files += self._added(_PARTNER_WAIT_MS)
                jpeg = self._downloaded(files[1:])
        finally:
            self._left += files
        if not jpeg:
            raise CameraFault(detail="it wrote no JPEG; set its image quality to JPEG")
        return jpeg

    def _downloaded(self, files: list[OnCamera]) -> bytes:
        """Return the first JPEG among the files, or nothing; a body's memory may give a raw file a JPEG's name."""
        kind = self.connection.library.GP_FILE_TYPE_NORMAL
        for file in files:
            if file.is_jpeg:
                content = self.connection.copied("file_get", file.folder, file.name, kind)
                if content.startswith(START_OF_IMAGE):
                    return content
        return b""

    def check_card(self) -> None:
        """Pass where there is room for a picture, or where the camera does not say.

        Raises
        ------
        CameraCardFull
            There is none.
        """
        stores = self.connection.call("get_storageinfo")
        telling = [store for store in stores if store.fields & self.connection.library.GP_STORAGEINFO_FREESPACEIMAGES]
        if telling and not any(store.freeimages for store in telling):
            raise CameraCardFull

    def tidy(self) -> None:
        """Take what has come off the camera, as far as the site does not keep it there; and read away its events.

        It stands apart from the shot because the still need not wait for it.

        Raises
        ------
        ConnectionLost
            The camera is gone.
        """
        if not self._left:
            return
        files, self._left = [*self._left, *self._added(_DRAIN_WAIT_MS)], []
        if self.keep:
            return
        for file in files:
            try:
                self.connection.call("file_delete", file.folder, file.name)
            except ConnectionLost:
                raise
            except CameraFault:
                continue

    def _added(self, wait_ms: int) -> list[OnCamera]:
        """Return the files that the camera tells of, until a JPEG is among them or it falls silent."""
        found: list[OnCamera] = []
        for file in self._events(wait_ms):
            found.append(file)
            if file.is_jpeg and wait_ms > _DRAIN_WAIT_MS:
                break
        return found

    def _events(self, wait_ms: int) -> Iterator[OnCamera]:
        library = self.connection.library
        for _ in range(_MOST_EVENTS):
            kind, data = self.connection.call("wait_for_event", wait_ms)
            if kind == library.GP_EVENT_TIMEOUT:
                return
            if kind == library.GP_EVENT_FILE_ADDED:
                yield OnCamera(data.folder, data.name)
