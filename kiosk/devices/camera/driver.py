"""The contract of a camera backend: blocking calls from one thread, which may hang or fail at any time.

A driver is driven by `child_main` in a process of its own, which `supervisor` watches from outside and replaces when it
hangs or dies. So a driver needs no time limits, threads or retries.
"""

from __future__ import annotations

from typing import Protocol

from kiosk.core.base.picture_size import MAX_MEGAPIXELS
from kiosk.devices.base import DeviceSettings
from kiosk.errors import CameraFault

START_OF_IMAGE = b"\xff\xd8"
_END_OF_IMAGE = b"\xff\xd9"

LONGEST_LIVE_SIDE_PX = 8192
"""No live view is larger: the largest that a body shows is 8K video, 7680 px wide (practice). A damaged header may say
65535, and a picture of that size would take 12 GB."""


LOST_SHOT = "lost_shot"
"""The wish (`CameraDriver.ask`) for a driver whose predecessor was ended in the middle of a shot or right after it: the
shot's files are nobody's any more, and have to go from the camera, with the files of the next still. The argument is
how many seconds ago that was; each driver gets the wish until a live picture has followed a still."""


class NotThere(CameraFault):
    """No camera answers yet, and nothing was opened; `open` may be called again in the same process."""


class DamagedFrame(CameraFault):
    """One live frame cannot be used; the next one may be good."""

    def __init__(self, **params: object) -> None:
        super().__init__(**({"detail": "its live pictures arrive damaged; its cable may be loose"} | params))


class CameraDriver(Protocol):
    """One camera, from `open` to `close`; picklable before `open`, because a fresh copy is sent to every process."""

    @property
    def simulated(self) -> bool:
        """Whether its pictures are made up."""
        ...

    @property
    def frame_interval_s(self) -> float:
        """Shortest time between two live frames; 0 where the camera sets the pace by blocking."""
        ...

    def warm_up(self) -> None:
        """Import and load what `open` needs, without touching the camera; another process may hold it."""
        ...

    def open(self) -> str:
        """Connect, begin the live view and return the camera's model.

        Raises
        ------
        NotThere
            No camera answers.
        CameraFault
            One does, and cannot be used.
        """
        ...

    def next_frame(self) -> bytes:
        """Return the next live frame as JPEG; an empty one says that the camera was busy.

        Raises
        ------
        DamagedFrame
            It arrived damaged, and the connection is good.
        CameraFault
            The connection is lost.
        """
        ...

    def shoot(self) -> bytes:
        """Leave the live view, take a still, and return the camera's own JPEG; the live view goes on afterwards.

        A picture that was on its way before, or that nobody ordered, is never returned.

        Raises
        ------
        CameraFault
            There is no still; the connection may yet be good.
        """
        ...

    def forget(self) -> None:
        """Forget every picture that came before: what is shown or shot from now on is another sitter's.

        Raises
        ------
        CameraFault
            The connection is lost.
        """
        ...

    def notices(self) -> list[str]:
        """Return what the attendant should know, each notice once; called at each live frame."""
        ...

    def settings(self) -> DeviceSettings:
        """Return how the camera is set, and how it can be.

        Raises
        ------
        CameraFault
            The connection is lost.
        """
        ...

    def ask(self, wish: str, argument: str) -> None:
        """Do what only this kind of camera can do, or needs; a wish it does not know is left alone."""
        ...

    def close(self) -> None:
        """Leave the live view and disconnect; may be called in any state."""
        ...


def looks_whole(jpeg: bytes) -> bool:
    """Return whether a live frame starts and ends as a JPEG does (ITU-T T.81, B.1.1.3: SOI and EOI markers)."""
    return jpeg.startswith(START_OF_IMAGE) and jpeg.rstrip(b"\x00").endswith(_END_OF_IMAGE)


def sound_frame(jpeg: bytes) -> bytes:
    """Return a live frame, an empty one too, whose header can be read and names a size that a live view may have.

    Raises
    ------
    DamagedFrame
        It is no whole JPEG, or its header is damaged.
    """
    import simplejpeg

    if not jpeg:
        return jpeg
    try:
        size_px = max(simplejpeg.decode_jpeg_header(jpeg)[:2]) if looks_whole(jpeg) else 0
    except ValueError:
        size_px = 0
    if not 0 < size_px <= LONGEST_LIVE_SIDE_PX:
        raise DamagedFrame
    return jpeg


def load_decoder() -> None:
    """Import the decoder before there is a picture: an import that runs beside one may keep it in memory."""
    import simplejpeg  # noqa: F401


def verified_still(jpeg: bytes) -> bytes:
    """Return a still that decodes without a single complaint, and is not larger than any camera's.

    A download that was cut or damaged on the way still reports success, and lenient decoders show its remains. It is
    decoded at an eighth of its size: all of the data is read for that, and only the reading complains.

    Raises
    ------
    CameraFault
        The picture is damaged.
    """
    import simplejpeg

    try:
        height, width, *_ = simplejpeg.decode_jpeg_header(jpeg)
        if height * width > MAX_MEGAPIXELS * 1_000_000:
            raise ValueError
        simplejpeg.decode_jpeg(jpeg, "GRAY", min_height=1, min_width=1, min_factor=8, strict=True)
    except ValueError:
        raise CameraFault(detail="the picture arrived damaged") from None
    return jpeg
