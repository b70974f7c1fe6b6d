"""A webcam, by OpenCV's video capture: live view and stills are the same stream.

What it can serve: a head that fills 40 % of the picture's height and is printed 32 mm high (the middle of the usual
range for a 35 x 45 mm photo) has 0.4 * height_px * 25.4 / 32 pixels per inch: 229 from 720 lines, 343 from 1080 and
686 from 2160. A document that asks for 300 therefore needs 1080 lines; with 720 one can measure, but not print.

A webcam that sends JPEG is taken at its word: OpenCV hands over the bytes as they came, because its own decoder shows
the remains of a damaged picture, and every edge in them makes it look sharper than its neighbours. Each is decoded
strictly here, and the still is the webcam's own file. Only what is no JPEG, of another webcam or a recording, is
compressed here, at a quality that adds nothing visible. Neither carries a record of the exposure.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Any, Protocol

import cv2
import numpy as np

from kiosk.devices.base import DeviceSettings
from kiosk.devices.camera.driver import DamagedFrame, NotThere
from kiosk.devices.camera.video_frame import Frame, encoded, from_jpeg, sharpness
from kiosk.devices.uvc.controls import Controlled, Controls
from kiosk.devices.uvc.serial_number import device_of
from kiosk.devices.uvc.video_node import VideoNode
from kiosk.errors import CameraFault, CameraSettingRefused

LIVE_LONG_SIDE_PX = 1280
SHOT_FRAMES = 5
MOST_READ = 15
"""How many frames are read for the five of a shot, and for the first one: two out of three may be damaged."""

_LIVE_QUALITY = 85
_STILL_QUALITY = 97
_RATE_TOLERANCE_HZ = 0.5
"""Webcams deliver 29.97 frames a second for 30 (NTSC, from memory)."""
_WARM_UP_FRAMES = 30
_RECORDING_INTERVAL_S = 1 / 30
_MJPEG = cv2.VideoWriter.fourcc(*"MJPG")
_COLOUR = 3


class Capture(Controlled, Protocol):
    """The part of `cv2.VideoCapture` that is used."""

    def isOpened(self) -> bool: ...  # noqa: D102, N802

    def read(self) -> tuple[bool, Any]: ...  # noqa: D102

    def release(self) -> None: ...  # noqa: D102


def open_capture(source: int | str) -> Capture:
    """Open a webcam through V4L2, or a recording; no other kind of source, and none over a network.

    Raises
    ------
    CameraFault
        The source is an address.
    """
    cv2.setLogLevel(0)
    if isinstance(source, int) or source.startswith("/dev/"):
        return cv2.VideoCapture(source, cv2.CAP_V4L2)
    if "://" in source:
        raise CameraFault(detail="a webcam is named by its number or its path under /dev, not by an address")
    return cv2.VideoCapture(source)


class WebcamDriver:
    """A webcam by number or device path; a recording by its file's path, which starts again at its end.

    Parameters
    ----------
    source
        0 for the first webcam, a device such as /dev/v4l/by-id/..., or a file or numbered series of pictures that
        OpenCV reads.
    connect, node
        Open the source, and its device file; picklable.
    adjust
        The webcam's controls by name (`controls.CONTROLS`), in its own units, for the session.
    serial
        The serial number by which a webcam is found instead, wherever it is plugged in.
    size_px
        Width and height of the pictures to ask for; a webcam without that size gives the nearest.
    rate_hz
        Pictures a second to ask for; None for the webcam's own rate.
    mains_hz
        Frequency of the mains, 50 or 60, against the flicker of lamps; None to leave the webcam as it is.
    """

    def __init__(
        self,
        source: int | str,
        connect: Callable[[int | str], Capture] = open_capture,
        adjust: Mapping[str, float] | None = None,
        *,
        node: Callable[[str], VideoNode] = VideoNode,
        serial: str = "",
        size_px: tuple[int, int] = (1920, 1080),
        rate_hz: float | None = None,
        mains_hz: int | None = None,
    ) -> None:
        self._source = source
        self._connect = connect
        self._node = node
        self._adjust = dict(adjust or {})
        self._serial = serial
        self._wanted_px = size_px
        self._rate_hz = rate_hz
        self._mains_hz = mains_hz
        self._capture: Capture | None = None
        self._controls: Controls | None = None

    @property
    def simulated(self) -> bool:
        """Whether the source is a recording, which shows somebody else."""
        return not self._serial and isinstance(self._source, str) and not self._source.startswith("/dev/")

    @property
    def frame_interval_s(self) -> float:
        """0 for a webcam, which sets its own pace; a recording runs at 30 frames a second."""
        return _RECORDING_INTERVAL_S if self.simulated else 0.0

    def warm_up(self) -> None:
        """Do nothing, because importing this module has loaded everything."""

    def open(self) -> str:
        """Ask for the site's settings, let exposure and white balance settle, and return what came.

        Raises
        ------
        NotThere
            There is no such webcam, or it cannot be had now.
        CameraSettingRefused
            It does not have one of the controls, or does not take its value, or the rate.
        CameraFault
            It delivers no picture, or is named by an address.
        """
        source = device_of(self._serial) if self._serial else self._source
        node = None if self.simulated else self._node(f"/dev/video{source}" if isinstance(source, int) else source)
        if node is not None:
            node.check()
        capture = self._connect(source)
        self._capture = capture
        if not capture.isOpened():
            self.close()
            raise NotThere(detail=f"{source} opens, and gives no pictures that this program can read")
        if node is not None:
            self._set_up(capture, node)
        height, width = self._sound(1, MOST_READ)[0].pixels.shape[:2]
        kind = "Recording" if self.simulated else "Webcam"
        return f"{kind} {self._serial or source} ({width} x {height})"

    def _set_up(self, capture: Capture, node: VideoNode) -> None:
        capture.set(cv2.CAP_PROP_FOURCC, _MJPEG)
        capture.set(cv2.CAP_PROP_CONVERT_RGB, 0.0 if round(capture.get(cv2.CAP_PROP_FOURCC)) == _MJPEG else 1.0)
        capture.set(cv2.CAP_PROP_FRAME_WIDTH, self._wanted_px[0])
        capture.set(cv2.CAP_PROP_FRAME_HEIGHT, self._wanted_px[1])
        capture.set(cv2.CAP_PROP_BUFFERSIZE, 1)
        if self._rate_hz is not None:
            capture.set(cv2.CAP_PROP_FPS, self._rate_hz)
            given_hz = capture.get(cv2.CAP_PROP_FPS)
            if abs(given_hz - self._rate_hz) > _RATE_TOLERANCE_HZ:
                offered = f"at this size it delivers {given_hz:g} pictures a second"
                raise CameraSettingRefused(role="rate_hz", value=f"{self._rate_hz:g}", offered=offered)
        self._controls = Controls(capture, node)
        self._controls.adjust(self._adjust)
        if self._mains_hz is not None:
            self._controls.adjust_to_mains(self._mains_hz)
        self._sound(_WARM_UP_FRAMES, _WARM_UP_FRAMES)

    def next_frame(self) -> bytes:
        """Return the next picture, at most 1280 pixels on its long side."""
        frame = self._read()
        factor = LIVE_LONG_SIDE_PX / max(frame.pixels.shape[:2])
        if factor >= 1:
            return frame.jpeg or encoded(frame.pixels, _LIVE_QUALITY)
        small = cv2.resize(frame.pixels, None, fx=factor, fy=factor, interpolation=cv2.INTER_AREA)
        return encoded(np.asarray(small, np.uint8), _LIVE_QUALITY)

    def shoot(self) -> bytes:
        """Return the sharpest of the next few undamaged pictures, as the webcam sent it."""
        sharpest = max(self._sound(SHOT_FRAMES, MOST_READ), key=lambda frame: sharpness(frame.pixels))
        return sharpest.jpeg or encoded(sharpest.pixels, _STILL_QUALITY)

    def forget(self) -> None:
        """Do nothing, because a webcam keeps no pictures."""

    def notices(self) -> list[str]:
        """Return no notices; a webcam reports nothing about itself."""
        return []

    def settings(self) -> DeviceSettings:
        """Return the automatic modes that are on; a webcam's other values have no common units."""
        return DeviceSettings({}, {}, automatic=self._controls.automatic() if self._controls else ())

    def ask(self, wish: str, argument: str) -> None:
        """Do nothing; a webcam has no wishes of its own."""

    def close(self) -> None:
        """Restore the webcam's controls and release it."""
        capture, self._capture = self._capture, None
        controls, self._controls = self._controls, None
        try:
            if controls is not None:
                controls.restore()
        finally:
            if capture is not None:
                capture.release()

    def _sound(self, wanted: int, most_read: int) -> list[Frame]:
        """Return the next undamaged pictures.

        Raises
        ------
        DamagedFrame
            Of those that may be read not one was undamaged.
        """
        frames: list[Frame] = []
        fault = DamagedFrame()
        for _ in range(most_read):
            try:
                frames.append(self._read())
            except DamagedFrame as damaged:
                fault = damaged
            if len(frames) == wanted:
                break
        if not frames:
            raise fault
        return frames

    def _read(self) -> Frame:
        if self._capture is None:
            raise CameraFault(detail="it is not open")
        came, frame = self._capture.read()
        if not came and self.simulated:
            self._capture.set(cv2.CAP_PROP_POS_FRAMES, 0)
            came, frame = self._capture.read()
        if not came or frame is None or frame.size == 0:
            raise DamagedFrame(detail="it delivers no picture; its cable may be loose")
        return from_jpeg(frame.tobytes()) if frame.ndim < _COLOUR or frame.shape[0] == 1 else Frame(np.asarray(frame))
