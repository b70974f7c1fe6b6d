"""A camera in the network that sends video, by OpenCV's FFmpeg: live view and stills are the same stream.

FFmpeg speaks RTSP and decodes; what it gets to hear, and when each picture was taken, is the gate's (`gate.Gate`). A
still is a picture that was taken after its order, undamaged, and the sharpest of some such. A camera that sends JPEG is
taken at its word, as a webcam is: its own file is decoded strictly and is the still. H.264 and H.265 are decoded by
FFmpeg and compressed here once more, at a quality that adds nothing visible.
"""

from __future__ import annotations

import os
import time
from urllib.parse import quote, urlsplit

import cv2
import numpy as np

from kiosk.devices.base import DeviceSettings
from kiosk.devices.camera.driver import DamagedFrame, NotThere
from kiosk.devices.camera.video_frame import Frame, encoded, from_jpeg, sharpness
from kiosk.devices.rtsp.complaints import Complaints
from kiosk.devices.rtsp.gate import Gate, WrongPassword
from kiosk.errors import CameraFault

RTSP_PORT = 554
"""The port of RTSP (RFC 2326, 3.2)."""

SHOT_FRAMES = 5
SHOT_S = 8.0
"""How long pictures for a still are waited for: less than the limit outside the call (`Timeouts.shot_s`)."""

LOCKED_OUT_S = 60.0
"""How long a wrong password is not tried again: cameras lock a user out after five or so in a row (from memory)."""

LATE_S = 1.0
"""How old pictures may be before the attendant reads of it: a sitter who is coached by older ones overshoots."""

LATE_PICTURES = 30
"""How many late pictures in a row are no chance, about a second of them."""

MANY_LOST = 10
"""How many losses on the way, in one connection, are more than chance (practice, as of damaged pictures)."""

FALLEN_BEHIND = 2
"""How many pictures may have come after the one that is shown: FFmpeg holds one back to see where it ends."""

MOST_SKIPPED = 60
"""How many pictures are decoded without being looked at, to catch up."""

_LIMIT_MS = 10_000
"""FFmpeg's own limits, in milliseconds; the gate's silence comes before."""

_LIVE_LONG_SIDE_PX = 1280
_LIVE_QUALITY = 85
_STILL_QUALITY = 97
_OPTIONS = "rtsp_transport;tcp|allowed_media_types;video|protocol_whitelist;tcp|fflags;nobuffer|fpsprobesize;0"
_VARIABLE = "OPENCV_FFMPEG_CAPTURE_OPTIONS"
_INDEPENDENT = ord("I")
_ADVICE_KEY = "Set the interval of its key frames to a second, and look at its network cable."
_ADVICE_AGAIN = "Leave its settings alone while the booth is open; the booth connects again by itself."


class NetworkCameraDriver:
    """A camera in the network, by the address of its stream.

    Parameters
    ----------
    address
        `rtsp://HOST:PORT/PATH`, without user and password.
    user, password
        The camera's; empty where it asks for none.
    latency_s
        How long a picture takes from the lens to the network, in seconds; a still is ordered by as much earlier.
    simulated
        Whether the pictures are made up.
    """

    frame_interval_s = 0.0

    def __init__(
        self,
        address: str,
        user: str = "",
        password: str = "",
        *,
        latency_s: float = 0.5,
        simulated: bool = False,
    ) -> None:
        self._address = urlsplit(address)
        self._user, self._password = user, password
        self._latency_s = latency_s
        self.simulated = simulated
        self._gate: Gate | None = None
        self._capture: cv2.VideoCapture | None = None
        self._complaints: Complaints | None = None
        self._is_jpeg = False
        self._is_spoilt = False
        self._size_px: tuple[int, int] | None = None
        self._valid_from_s = 0.0
        self._locked_out: tuple[float, WrongPassword] | None = None
        self._behind = 0
        self._taken_s = 0.0
        self._late_in_a_row = 0
        self._noticed: set[str] = set()

    def warm_up(self) -> None:
        """Do nothing, because importing this module has loaded everything."""

    def open(self) -> str:
        """Connect, wait for the first whole picture, and return host and size.

        Raises
        ------
        NotThere
            Nothing answers at the address, or the password was refused less than a minute ago.
        CameraFault
            What answers sends no video that can be read.
        """
        self.close()
        if self._locked_out and time.monotonic() < self._locked_out[0]:
            raise NotThere(**self._locked_out[1].params)
        host = self._address.hostname or ""
        self._gate = Gate(host, self._address.port or RTSP_PORT, identifies=bool(self._user))
        self._capture = _open_stream(self._local_url(self._gate.open()))
        if not self._capture.isOpened():
            raise self._fault(f"the camera at {host} sends no picture that this program can read")
        self._complaints = Complaints()
        self._is_jpeg = round(self._capture.get(cv2.CAP_PROP_FOURCC)) == cv2.VideoWriter.fourcc(*"MJPG")
        if self._is_jpeg:
            self._capture.set(cv2.CAP_PROP_FORMAT, -1)
        self._size_px, self._is_spoilt = None, False
        self._late_in_a_row, self._noticed = 0, set()
        height, width = self._sound(1)[0].pixels.shape[:2]
        self._size_px = width, height
        return f"Network camera {host} ({width} x {height})"

    def next_frame(self) -> bytes:
        """Return the newest picture, at most 1280 pixels on its long side."""
        frame = self._newest()
        is_late = time.monotonic() - self._taken_s > LATE_S
        self._late_in_a_row = self._late_in_a_row + 1 if is_late else 0
        factor = _LIVE_LONG_SIDE_PX / max(frame.pixels.shape[:2])
        if factor >= 1:
            return frame.jpeg or encoded(frame.pixels, _LIVE_QUALITY)
        small = cv2.resize(frame.pixels, None, fx=factor, fy=factor, interpolation=cv2.INTER_AREA)
        return encoded(np.asarray(small, np.uint8), _LIVE_QUALITY)

    def shoot(self) -> bytes:
        """Return the sharpest of the next few undamaged pictures that are taken from now on.

        Raises
        ------
        DamagedFrame
            All of them were damaged.
        CameraFault
            None came, or the connection is lost.
        """
        self.forget()
        sharpest = max(self._sound(SHOT_FRAMES), key=lambda frame: sharpness(frame.pixels))
        return sharpest.jpeg or encoded(sharpest.pixels, _STILL_QUALITY)

    def forget(self) -> None:
        """Hand out no picture that was taken before now."""
        self._valid_from_s = time.monotonic() + self._latency_s

    def notices(self) -> list[str]:
        """Return that pictures are late, or get lost, each once for each connection."""
        found = {}
        if self._late_in_a_row >= LATE_PICTURES:
            late_s = time.monotonic() - self._taken_s
            found["late"] = (
                f"The network camera's pictures are shown {late_s:.1f} s late; choose a smaller size or fewer pictures "
                "a second in the camera, or give it a better connection."
            )
        if self._gate is not None and self._gate.lost >= MANY_LOST:
            found["lost"] = (
                f"Pictures of the network camera were lost on the way {self._gate.lost} times; check its network "
                "cable, and that nothing else takes up its network."
            )
        new = found.keys() - self._noticed
        self._noticed |= new
        return [text for kind, text in found.items() if kind in new]

    def settings(self) -> DeviceSettings:
        """Return no settings; RTSP knows none."""
        return DeviceSettings({}, {})

    def ask(self, wish: str, argument: str) -> None:
        """Do nothing; a stream takes no wishes."""

    def close(self) -> None:
        """End the stream and the connection."""
        capture, self._capture = self._capture, None
        gate, self._gate = self._gate, None
        complaints, self._complaints = self._complaints, None
        if capture is not None:
            capture.release()
        if gate is not None:
            gate.close()
        if complaints is not None:
            complaints.close()

    def _local_url(self, port: int) -> str:
        """Return the address of the gate, with what the camera wants to know."""
        identity = f"{quote(self._user, safe='')}:{quote(self._password, safe='')}@" if self._user else ""
        query = f"?{self._address.query}" if self._address.query else ""
        return f"rtsp://{identity}127.0.0.1:{port}{self._address.path}{query}"

    def _sound(self, wanted: int) -> list[Frame]:
        """Return the next undamaged pictures that count; as many as come in time.

        Raises
        ------
        DamagedFrame
            Of those that came not one was undamaged.
        CameraFault
            None came, or the connection is lost.
        """
        frames: list[Frame] = []
        fault = CameraFault(detail=f"no picture came within {SHOT_S:g} s", advice=_ADVICE_KEY)
        end_s = time.monotonic() + SHOT_S
        while len(frames) < wanted and time.monotonic() < end_s:
            try:
                if self._grab():
                    frames.append(self._retrieved())
            except DamagedFrame as damaged:
                fault = damaged
        if not frames:
            raise fault
        return frames

    def _newest(self) -> Frame:
        """Return the newest picture that counts, catching up where others have come meanwhile."""
        for _ in range(MOST_SKIPPED):
            if self._grab() and self._behind <= FALLEN_BEHIND:
                break
        return self._retrieved()

    def _grab(self) -> bool:
        """Decode the next picture, and return whether it counts.

        Raises
        ------
        CameraFault
            The connection is lost.
        """
        if self._capture is None or self._gate is None or self._complaints is None:
            raise CameraFault(detail="it is not open")
        with self._complaints.listening():
            came = self._capture.grab()
        if not came:
            raise self._fault("its stream has ended")
        if not self._is_jpeg:
            starts_afresh = round(self._capture.get(cv2.CAP_PROP_FRAME_TYPE)) == _INDEPENDENT
            self._is_spoilt = self._complaints.came or (self._is_spoilt and not starts_afresh)
        position_s = self._capture.get(cv2.CAP_PROP_POS_MSEC) / 1000
        self._behind = self._gate.behind(position_s)
        self._taken_s = self._gate.taken_s(position_s)
        return self._taken_s >= self._valid_from_s

    def _retrieved(self) -> Frame:
        """Return the picture that was decoded last.

        Raises
        ------
        DamagedFrame
            It is damaged, or builds on one that is.
        CameraFault
            It has another size than those before.
        """
        assert self._capture is not None
        if self._is_spoilt:
            raise DamagedFrame
        came, pixels = self._capture.retrieve()
        if not came:
            raise DamagedFrame
        frame = from_jpeg(pixels.tobytes()) if self._is_jpeg else Frame(np.asarray(pixels, np.uint8))
        height, width = frame.pixels.shape[:2]
        if self._size_px not in {None, (width, height)}:
            raise CameraFault(detail=f"its pictures now measure {width} x {height}", advice=_ADVICE_AGAIN)
        return frame

    def _fault(self, otherwise: str) -> CameraFault:
        """Return why the stream has ended; a wrong password is not tried again soon."""
        fault = self._gate.ended() if self._gate is not None else None
        if isinstance(fault, WrongPassword):
            self._locked_out = time.monotonic() + LOCKED_OUT_S, fault
            return NotThere(**fault.params)
        return fault or CameraFault(detail=otherwise)


def _open_stream(url: str) -> cv2.VideoCapture:
    """Open the gate's end of the stream; OpenCV reads FFmpeg's options from the environment alone."""
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
