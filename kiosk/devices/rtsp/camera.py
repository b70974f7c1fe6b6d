"""A camera in the network that sends video, by OpenCV's FFmpeg: live view and stills are the same stream.

FFmpeg speaks RTSP and decodes; what it gets to hear, and when each picture was taken, is the gate's (`gate.Gate`). A
still is a picture that was taken after its order, undamaged, and the sharpest of some such. A camera that sends JPEG is
taken at its word, as a webcam is: its own file is decoded strictly and is the still. H.264 and H.265 are decoded by
FFmpeg and compressed here once more, at a quality that adds nothing visible.
"""

from __future__ import annotations

import time
from urllib.parse import urlsplit

import cv2
import numpy as np

from kiosk.devices.base import DeviceSettings
from kiosk.devices.camera.driver import DamagedFrame, NotThere
from kiosk.devices.camera.video_frame import Frame, encoded, sharpness
from kiosk.devices.rtsp.conversation import WrongPassword
from kiosk.devices.rtsp.stream import Stream
from kiosk.errors import CameraFault

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

_LIVE_LONG_SIDE_PX = 1280
_LIVE_QUALITY = 85
_STILL_QUALITY = 97
_ADVICE_KEY = "Set the interval of its key frames to a second, and look at its network cable."


class NetworkCameraDriver:
    """A camera in the network, by the address of its stream.

    Parameters
    ----------
    address
        `rtsp://HOST:PORT/PATH`, without user and password.
    user, password
        The camera's; empty where it asks for none.
    latency_s
        How long a picture takes from the lens to the network, in seconds; one that comes sooner after the order of a
        still was taken before it.
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
        self._stream: Stream | None = None
        self._valid_from_s = 0.0
        self._locked_out: tuple[float, WrongPassword] | None = None
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
        try:
            self._stream = Stream(self._address, self._user, self._password)
        except WrongPassword as fault:
            self._locked_out = time.monotonic() + LOCKED_OUT_S, fault
            raise NotThere(**fault.params) from fault
        self._late_in_a_row, self._noticed = 0, set()
        height, width = self._sound(1)[0].pixels.shape[:2]
        return f"Network camera {self._address.hostname} ({width} x {height})"

    def next_frame(self) -> bytes:
        """Return the newest picture, at most 1280 pixels on its long side."""
        stream = self._open_stream()
        frame = self._newest(stream)
        is_late = time.monotonic() - stream.taken_s > LATE_S
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
        stream, found = self._open_stream(), {}
        if self._late_in_a_row >= LATE_PICTURES:
            late_s = time.monotonic() - stream.taken_s
            found["late"] = (
                f"The network camera's pictures are shown {late_s:.1f} s late; choose a smaller size or fewer pictures "
                "a second in the camera, or give it a better connection."
            )
        if stream.lost >= MANY_LOST:
            found["lost"] = (
                f"Pictures of the network camera were lost on the way {stream.lost} times; check its network "
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
        stream, self._stream = self._stream, None
        if stream is not None:
            stream.close()

    def _open_stream(self) -> Stream:
        if self._stream is None:
            raise CameraFault(detail="it is not open")
        return self._stream

    def _sound(self, wanted: int) -> list[Frame]:
        """Return the next undamaged pictures that count; as many as come in time.

        Raises
        ------
        DamagedFrame
            Of those that came not one was undamaged.
        CameraFault
            None came, or the connection is lost.
        """
        stream = self._open_stream()
        frames: list[Frame] = []
        fault = CameraFault(detail=f"no picture came within {SHOT_S:g} s", advice=_ADVICE_KEY)
        end_s = time.monotonic() + SHOT_S
        while len(frames) < wanted and time.monotonic() < end_s:
            try:
                stream.grab()
                if self._counts(stream):
                    frames.append(stream.retrieved())
            except DamagedFrame as damaged:
                fault = damaged
        if not frames:
            raise fault
        return frames

    def _newest(self, stream: Stream) -> Frame:
        """Return the newest picture that counts, catching up where others have come meanwhile."""
        skipped = 0
        while True:
            stream.grab()
            if self._counts(stream):
                if stream.behind <= FALLEN_BEHIND or skipped == MOST_SKIPPED:
                    return stream.retrieved()
                skipped += 1

    def _counts(self, stream: Stream) -> bool:
        return stream.taken_s >= self._valid_from_s
