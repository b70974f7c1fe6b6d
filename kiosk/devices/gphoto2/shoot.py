"""One shot: captured, downloaded at once, then deleted from the camera; a raw file goes to the lab folder.

A camera reports whatever it has taken, whoever asked for it: somebody may have pressed its own button, and a picture
may come after its shot was given up, even over the next connection. So everything that waits is taken in before each
capture and belongs to no shot; and of the pictures that come with the capture, only a single one that was taken after
the order is the shot's.
"""

from __future__ import annotations

import time
from dataclasses import dataclass, field
from datetime import UTC, datetime
from pathlib import Path

from kiosk.devices.camera.driver import START_OF_IMAGE
from kiosk.devices.gphoto2.camera_files import CameraFiles, OnCamera
from kiosk.devices.gphoto2.connect import Connection, ConnectionLost
from kiosk.devices.gphoto2.picture_times import PictureTimes
from kiosk.errors import CameraCardFull, CameraFault, os_reason
from kiosk.system.atomic_files import write_whole

NOT_ORDERED = "A picture came that nobody had ordered, by the camera's own button or too late; it is not used."

LOST_SHOT_S = 60.0
"""How long before its connection was lost a shot may have been ordered: the longest shot, with room for a clock that is
not known to the second (`devices.camera.timeouts`)."""

_PARTNER_WAIT_MS = 1000
_LOOKED_AT = 5
"""How many of the last files are looked at for that shot's: two pairs of files, and one that the button took."""


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
    _lost_s: tuple[float, float] | None = None
    _left: list[OnCamera] = field(default_factory=list)
    _notices: list[str] = field(default_factory=list)

    def __post_init__(self) -> None:
        self._files, self.times = CameraFiles(self.connection), PictureTimes(self.connection)

    def shoot(self) -> bytes:
        """Return the still as the camera wrote it.

        A body set to raw and JPEG delivers two files in either order; the JPEG is waited for and used, and the raw file
        too where it goes to the lab folder.

        Raises
        ------
        CameraFault
            The camera refused, only a raw file came, or a picture came that is not the shot's.
        CameraCardFull
            Pictures are to stay on the card, and it has no room.
        """
        self.forget()
        ordered_s = time.monotonic()
        try:
            path = self.connection.call("capture", self.connection.library.GP_CAPTURE_IMAGE)
        except CameraFault:
            if self.keep:
                self.check_card()
            raise
        files, contents = [OnCamera(path.folder, path.name)], dict[OnCamera, bytes]()
        jpeg = None
        try:
            files += self._files.waiting()
            if not self._jpegs(files, contents):
                files += self._files.next_added(_PARTNER_WAIT_MS)
            jpeg = self._only_jpeg(files, contents)
            if self.times.is_older(contents[jpeg], ordered_s):
                jpeg = None
                raise CameraFault(detail="the picture that came is older than the order")
            if self.raw_folder:
                self._keep_raw(files, contents, self.raw_folder)
        except CameraFault as error:
            if jpeg is None:
                raise
            self._notices.append(f"A raw file was lost on the way. {error}")
        finally:
            self._left += files
        return contents[jpeg]

    def forget(self) -> None:
        """Take in the files reported until now; they belong to no shot, unless one is the last shot's raw file.

        Raises
        ------
        ConnectionLost
            The camera is gone.
        """
        found = self._files.waiting()
        if self._left:
            self._left += found
        elif found:
            self._notices.append(NOT_ORDERED)
            if not self.keep:
                self._files.delete(found)

    def expect_lost(self, ago_s: float) -> None:
        """Delete, with the next shot's files, the picture of a shot that was lost so long ago with its connection.

        A Canon EOS body reports it to nobody: libgphoto2 reads its events away while it connects.
        """
        now_s = time.monotonic()
        self._lost_s = None if self.keep else (now_s - ago_s - LOST_SHOT_S, now_s)

    def _lost(self) -> list[OnCamera]:
        """Return the last files that were taken from the lost shot to this connection, by the body's clock."""
        if self._lost_s is None:
            return []
        (first_s, last_s), self._lost_s = self._lost_s, None
        found = []
        for file in self._files.listed_last(_LOOKED_AT):
            try:
                taken = self.times.on_machine_s(self._files.content(file))
            except ConnectionLost:
                raise
            except CameraFault:
                continue
            if taken is not None and first_s <= taken <= last_s:
                found.append(file)
        return found

    def _only_jpeg(self, files: list[OnCamera], contents: dict[OnCamera, bytes]) -> OnCamera:
        """Return the file that is the shot's JPEG.

        Raises
        ------
        CameraFault
            There is none, or there are several, and nobody can say which was ordered.
        """
        jpegs = self._jpegs(files, contents)
        if not jpegs and any(contents.get(file) == b"" for file in files):
            raise CameraFault(detail="the picture arrived empty; its cable or card may be loose")
        if not jpegs:
            raise CameraFault(detail="it wrote no JPEG; set its image quality to JPEG")
        if len(jpegs) > 1:
            raise CameraFault(detail="more than one picture came for one order")
        return jpegs[0]

    def _jpegs(self, files: list[OnCamera], contents: dict[OnCamera, bytes]) -> list[OnCamera]:
        """Return the files that are JPEGs, and keep their content.

        Their first bytes decide: a body's memory may give a raw file a JPEG's name, though not the other way round.
        """
        for file in files:
            if file.is_jpeg and file not in contents:
                contents[file] = self._files.content(file)
        return [file for file in files if file.is_jpeg and contents[file].startswith(START_OF_IMAGE)]

    def _keep_raw(self, files: list[OnCamera], contents: dict[OnCamera, bytes], folder: Path) -> None:
        """Write the raw file, named by the time of day and the camera's own name; only the booth's user can read it."""
        if len(files) == 1:
            files += self._files.next_added(_PARTNER_WAIT_MS)
        jpegs = self._jpegs(files, contents)
        raw = next((file for file in files if file not in jpegs), None)
        if raw is None:
            self._notices.append("The camera wrote no raw file beside the last picture; set it to raw and JPEG.")
            return
        name = f"{datetime.now(UTC):%Y%m%dT%H%M%S.%fZ}-{Path(raw.name).name}"
        try:
            folder.mkdir(parents=True, exist_ok=True, mode=0o700)
            write_whole(folder / name, contents.get(raw) or self._files.content(raw))
        except OSError as error:
            reason = os_reason(error)
            self._notices.append(f"A raw file could not be kept in {folder}: {reason}.")

    def check_card(self) -> None:
        """Check that the card has room for a picture; a camera that does not report it passes.

        Raises
        ------
        CameraCardFull
            There is none.
        """
        if self.room() == 0:
            raise CameraCardFull

    def room(self) -> int | None:
        """Return the number of pictures that still fit on the camera's cards; None if it does not report it."""
        stores = self.connection.call("get_storageinfo")
        counted = [store for store in stores if store.fields & self.connection.library.GP_STORAGEINFO_FREESPACEIMAGES]
        return sum(store.freeimages for store in counted) if counted else None

    def tidy(self) -> None:
        """Delete the last shot's files from the camera, unless they are kept there, and read its pending events.

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
        files += self._files.next_added(_PARTNER_WAIT_MS) if alone else self._files.waiting()
        if self.pair is None:
            self.pair = len(files) > 1
        if not self.keep:
            self._files.delete([*self._lost(), *files])

    def notices(self) -> list[str]:
        """Return notices about pictures that could not be kept or were not used, each once."""
        notices, self._notices = [*self._notices, *self.times.notices()], []
        return notices
