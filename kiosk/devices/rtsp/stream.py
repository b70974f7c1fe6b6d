"""A stream of video through the gate, decoded by OpenCV's FFmpeg, picture after picture."""

from __future__ import annotations

import os
from urllib.parse import SplitResult, quote

import cv2
import numpy as np

from kiosk.devices.camera.driver import DamagedFrame
from kiosk.devices.camera.video_frame import Frame, from_jpeg
from kiosk.devices.rtsp.complaints import Complaints
from kiosk.devices.rtsp.gate import Gate
from kiosk.errors import CameraFault

RTSP_PORT = 554
"""The port of RTSP (RFC 2326, 3.2)."""

_LIMIT_MS = 10_000
"""FFmpeg's own limits, in milliseconds; the gate's silence comes before."""

_OPTIONS = "rtsp_transport;tcp|allowed_media_types;video|protocol_whitelist;tcp|fflags;nobuffer|fpsprobesize;0"
_VARIABLE = "OPENCV_FFMPEG_CAPTURE_OPTIONS"
_INDEPENDENT = ord("I")
_ADVICE_SIZE = "Leave its settings alone while the booth is open; the booth connects again by itself."


class Stream:
    """An open stream, until `close`.

    Parameters
    ----------
    address
        The stream's, without user and password.
    user, password
        The camera's; empty where it asks for none.

    Attributes
    ----------
    taken_s
        When the picture that was decoded last was taken, on the monotonic clock.
    behind
        How many pictures have come after it.

    Raises
    ------
    NotThere
        Nothing answers at the address.
    CameraFault
        What answers sends no video that can be read.
    """

    def __init__(self, address: SplitResult, user: str, password: str) -> None:
        self.taken_s = 0.0
        self.behind = 0
        self._is_spoilt = False
        self._size_px: tuple[int, int] | None = None
        self._complaints = Complaints()
        self._capture = cv2.VideoCapture()
        self._gate = Gate(address.hostname or "", address.port or RTSP_PORT, identifies=bool(user))
        try:
            identity = f"{quote(user, safe='')}:{quote(password, safe='')}@" if user else ""
            here = address._replace(netloc=f"{identity}127.0.0.1:{self._gate.open()}")
            self._capture = open_capture(here.geturl())
            if not self._capture.isOpened():
                raise self._ended(f"the camera at {address.hostname} sends no picture that this program can read")
        except CameraFault:
            self.close()
            raise
        self._is_jpeg = round(self._capture.get(cv2.CAP_PROP_FOURCC)) == cv2.VideoWriter.fourcc(*"MJPG")
        if self._is_jpeg:
            self._capture.set(cv2.CAP_PROP_FORMAT, -1)

    @property
    def lost(self) -> int:
        """How many times a part of a picture was lost on the way."""
        return self._gate.lost

    def grab(self) -> None:
        """Decode the next picture.

        Raises
        ------
        CameraFault
            The connection is lost.
        """
        with self._complaints.listening():
            came = self._capture.grab()
        if not came:
            raise self._ended("its stream has ended")
        if not self._is_jpeg:
            starts_afresh = round(self._capture.get(cv2.CAP_PROP_FRAME_TYPE)) == _INDEPENDENT
            self._is_spoilt = self._complaints.came or (self._is_spoilt and not starts_afresh)
        position_s = self._capture.get(cv2.CAP_PROP_POS_MSEC) / 1000
        self.behind = self._gate.behind(position_s)
        self.taken_s = self._gate.taken_s(position_s)

    def retrieved(self) -> Frame:
        """Return the picture that was decoded last.

        Raises
        ------
        DamagedFrame
            It is damaged, or builds on one that is.
        CameraFault
            It has another size than those before.
        """
        if self._is_spoilt:
            raise DamagedFrame
        came, pixels = self._capture.retrieve()
        if not came:
            raise DamagedFrame
        frame = from_jpeg(pixels.tobytes()) if self._is_jpeg else Frame(np.asarray(pixels, np.uint8))
        height, width = frame.pixels.shape[:2]
        if self._size_px not in {None, (width, height)}:
            raise CameraFault(detail=f"its pictures now measure {width} x {height}", advice=_ADVICE_SIZE)
        self._size_px = width, height
        return frame

    def close(self) -> None:
        """End the stream and the connection."""
        self._capture.release()
        self._gate.close()
        self._complaints.close()

    def _ended(self, otherwise: str) -> CameraFault:
        return self._gate.ended() or CameraFault(detail=otherwise)


def open_capture(url: str) -> cv2.VideoCapture:
    """Open an address with FFmpeg's options for a stream, which OpenCV reads from the environment alone."""
    cv2.setLogLevel(0)
    limits = [cv2.CAP_PROP_OPEN_TIMEOUT_MSEC, _LIMIT_MS, cv2.CAP_PROP_READ_TIMEOUT_MSEC, _LIMIT_MS]
    before = os.environ.get(_VARIABLE)
    os.environ[_VARIABLE] = _OPTIONS
    try:
        return cv2.VideoCapture(url, cv2.CAP_FFMPEG, [*limits, cv2.CAP_PROP_N_THREADS, 1])
    finally:
        del os.environ[_VARIABLE]
        if before is not None:
            os.environ[_VARIABLE] = before
