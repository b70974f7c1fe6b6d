"""One shot: captured, downloaded at once, and afterwards taken off the camera; a raw file goes to the lab folder."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field
from datetime import UTC, datetime
from pathlib import Path

from kiosk.devices.camera.driver import START_OF_IMAGE
from kiosk.devices.gphoto2.connect import Connection, ConnectionLost
from kiosk.errors import CameraCardFull, CameraFault, os_reason
from kiosk.system.atomic_files import write_whole

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
    raw_folder
        Where the raw files go; None for nowhere.
    pair
        Whether the body writes a raw file beside each JPEG, which is waited for; None until the first shot shows it.
    """

    connection: Connection
    keep: bool = False
    raw_folder: Path | None = None
    pair: bool | None = None
    _left: list[OnCamera] = field(default_factory=list)
    _lost_raw: list[str] = field(default_factory=list)

    def shoot(self) -> bytes:
        """Return the still as the camera wrote it.

        A body set to raw and JPEG delivers two files in either order; the JPEG is waited for and used, and the raw file
        too where it goes to the lab folder.

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
        files, contents = [OnCamera(path.folder, path.name)], dict[OnCamera, bytes]()
        jpeg = None
        try:
            jpeg = self._found(files, contents)
            if jpeg is None:
                files += self._added(_PARTNER_WAIT_MS)
                jpeg = self._found(files, contents)
            if self.raw_folder and jpeg is not None:
                self._keep_raw(files, contents, self.raw_folder)
        except CameraFault as error:
            if jpeg is None:
                raise
            self._lost_raw.append(f"A raw file was lost on the way. {error}")
        finally:
            self._left += files
        if jpeg is None:
            raise CameraFault(detail="it wrote no JPEG; set its image quality to JPEG")
        return contents[jpeg]

    def _found(self, files: list[OnCamera], contents: dict[OnCamera, bytes], *, raw: bool = False) -> OnCamera | None:
        """Return the first file that is a JPEG, or is none, and keep its content.

        Its first bytes tell: a body's memory may give a raw file a JPEG's name, though not the other way round.
        """
        kind = self.connection.library.GP_FILE_TYPE_NORMAL
        for file in files:
            if file.is_jpeg or raw:
                if file not in contents:
                    contents[file] = self.connection.copied("file_get", file.folder, file.name, kind)
                if contents[file].startswith(START_OF_IMAGE) != raw:
                    return file
        return None

    def _keep_raw(self, files: list[OnCamera], contents: dict[OnCamera, bytes], folder: Path) -> None:
        """Write the raw file under the time of day and the camera's own name, readable by the booth's user alone."""
        if len(files) == 1:
            files += self._added(_PARTNER_WAIT_MS)
        raw = self._found(files, contents, raw=True)
        if raw is None:
            self._lost_raw.append("The camera wrote no raw file beside the last picture; set it to raw and JPEG.")
            return
        name = f"{datetime.now(UTC):%Y%m%dT%H%M%S.%fZ}-{Path(raw.name).name}"
        try:
            folder.mkdir(parents=True, exist_ok=True, mode=0o700)
            write_whole(folder / name, contents[raw])
        except OSError as error:
            reason = os_reason(error)
            self._lost_raw.append(f"A raw file could not be kept in {folder}: {reason}.")

    def check_card(self) -> None:
        """Pass where there is room for a picture, or where the camera does not say.

        Raises
        ------
        CameraCardFull
            There is none.
        """
        if self.room() == 0:
            raise CameraCardFull

    def room(self) -> int | None:
        """Return for how many more pictures there is room on the camera's cards; None where it does not say."""
        stores = self.connection.call("get_storageinfo")
        telling = [store for store in stores if store.fields & self.connection.library.GP_STORAGEINFO_FREESPACEIMAGES]
        return sum(store.freeimages for store in telling) if telling else None

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
        files, self._left = self._left, []
        alone = len(files) == 1 and self.pair is not False
        files += self._added(_PARTNER_WAIT_MS if alone else _DRAIN_WAIT_MS)
        if self.pair is None:
            self.pair = len(files) > 1
        if self.keep:
            return
        for file in files:
            try:
                self.connection.call("file_delete", file.folder, file.name)
            except ConnectionLost:
                raise
            except CameraFault:
                continue

    def lost_raw(self) -> list[str]:
        """Return, once, what the attendant should know of raw files that were not kept."""
        told, self._lost_raw = self._lost_raw, []
        return told

    def _added(self, wait_ms: int) -> list[OnCamera]:
        """Return the files that the camera tells of, until one is among them that was waited for or it falls silent."""
        found: list[OnCamera] = []
        for file in self._events(wait_ms):
            found.append(file)
            if wait_ms > _DRAIN_WAIT_MS:
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
