"""A folder that a camera sends its pictures to, by Wi-Fi, by a card that transmits, or by a program of its maker.

Such a camera cannot be told to shoot from here, and shows no live view: an attendant releases it. Each picture that
comes in is shown as the live view, so the sitter is led from picture to picture; when one is as it should be, the shot
that is then ordered is that very picture.
"""

from __future__ import annotations

import time
from pathlib import Path

from kiosk.devices.base import DeviceSettings
from kiosk.devices.camera.driver import NotThere, looks_whole
from kiosk.errors import CameraFault

ARRIVAL_S = 11.0
"""How long a shot waits for its picture: less than the limit outside the call (`camera_process.Limits.shot_s`)."""

SHOWN_S = 30.0
"""How long a picture is shown when no shot is ordered: practice, longer than a sitter takes to follow an advice."""

_LOOK_S = 0.05
_SETTLED_S = 0.2
_SUFFIXES = (".jpg", ".jpeg")
_LIVE_LONG_SIDE_PX = 1280
_LIVE_QUALITY = 80


class FolderDriver:
    """Pictures that appear in a folder.

    A picture counts when it is a whole JPEG and has not grown for 0.2 s. It is read once and, unless it is to stay,
    removed: it shows a face.

    Parameters
    ----------
    folder
        Where the pictures come in; those already there at the start are left alone and never handed out.
    keep
        Whether pictures stay there.
    simulated
        Whether the pictures are made up.
    """

    frame_interval_s = 0.2

    def __init__(self, folder: Path, *, keep: bool = False, simulated: bool = False) -> None:
        self._folder = folder
        self._keep = keep
        self.simulated = simulated
        self._known: set[Path] = set()
        self._sizes: dict[Path, tuple[int, float]] = {}
        self._frame = b""
        self._still = b""
        self._came_s = 0.0

    def warm_up(self) -> None:
        """Import what draws the grey picture."""
        import simplejpeg  # noqa: F401

    def open(self) -> str:
        """Note what is there already.

        Raises
        ------
        NotThere
            There is no such folder.
        """
        try:
            self._known = set(self._pictures())
        except CameraFault as error:
            raise NotThere(**error.params) from error
        self._forget()
        return f"Folder {self._folder}"

    def next_frame(self) -> bytes:
        """Return the picture that came last, made small, or an empty grey one where there is none to show.

        A picture that was handed out, or that came long ago, is shown no more: the next sitter is another person.
        """
        self._take_in()
        if time.monotonic() - self._came_s > SHOWN_S:
            self._forget()
        return self._frame

    def shoot(self) -> bytes:
        """Return the picture that is shown, if it was not handed out before, or wait for the next.

        Raises
        ------
        CameraFault
            None came in time.
        """
        end_s = time.monotonic() + ARRIVAL_S
        while not self._still:
            if time.monotonic() > end_s:
                raise CameraFault(detail=f"no picture came into its folder within {ARRIVAL_S:g} s")
            time.sleep(_LOOK_S)
            self._take_in()
        still = self._still
        self._forget()
        return still

    def notices(self) -> list[str]:
        """Return nothing: a folder knows nothing of the camera."""
        return []

    def settings(self) -> DeviceSettings:
        """Return none."""
        return DeviceSettings({}, {})

    def ask(self, wish: str, argument: str) -> None:
        """Nothing: a folder grants no wishes."""

    def close(self) -> None:
        """Forget what was seen."""
        self._known.clear()
        self._sizes.clear()
        self._frame = self._still = b""

    def _take_in(self) -> None:
        """Take in the pictures that have come whole; the last one counts."""
        for path in self._pictures():
            if path in self._known or not self._is_settled(path):
                continue
            jpeg = path.read_bytes()
            if not looks_whole(jpeg):
                continue
            self._known.add(path)
            self._still, self._frame = jpeg, _small(jpeg)
            self._came_s = time.monotonic()
            if not self._keep:
                path.unlink(missing_ok=True)
                self._known.discard(path)

    def _forget(self) -> None:
        self._frame, self._still = _blank(), b""

    def _pictures(self) -> list[Path]:
        """Return the JPEG files in the folder, oldest first."""
        try:
            found = [path for path in self._folder.iterdir() if path.suffix.lower() in _SUFFIXES]
        except OSError as error:
            raise CameraFault(detail=f"its folder {self._folder} cannot be read") from error
        return sorted(found, key=lambda path: path.name)

    def _is_settled(self, path: Path) -> bool:
        try:
            size = path.stat().st_size
        except FileNotFoundError:
            return False
        now_s = time.monotonic()
        before, since_s = self._sizes.get(path, (-1, now_s))
        if size != before:
            self._sizes[path] = (size, now_s)
            return False
        return now_s - since_s >= _SETTLED_S


def _blank() -> bytes:
    import numpy as np
    import simplejpeg

    grey = np.full((800, 640, 1), 128, np.uint8)
    jpeg: bytes = simplejpeg.encode_jpeg(grey, quality=_LIVE_QUALITY, colorspace="GRAY")
    return jpeg


def _small(jpeg: bytes) -> bytes:
    """Return the picture at most 1280 pixels long, or nothing where it is damaged."""
    import cv2
    import numpy as np

    picture = cv2.imdecode(np.frombuffer(jpeg, np.uint8), cv2.IMREAD_REDUCED_COLOR_2)
    if picture is None:
        return b""
    factor = min(1.0, _LIVE_LONG_SIDE_PX / max(picture.shape[:2]))
    small = cv2.resize(picture, None, fx=factor, fy=factor, interpolation=cv2.INTER_AREA)
    came, data = cv2.imencode(".jpg", small, [cv2.IMWRITE_JPEG_QUALITY, _LIVE_QUALITY])
    return data.tobytes() if came else b""
