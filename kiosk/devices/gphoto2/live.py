"""The live view: entered by asking for a picture, left on purpose before every capture."""

from __future__ import annotations

import contextlib
import struct
from dataclasses import dataclass

from kiosk.devices.camera.driver import START_OF_IMAGE, DamagedFrame
from kiosk.devices.gphoto2.connect import CameraBusy, Connection, ConnectionLost
from kiosk.errors import CameraFault

_SWITCH = "viewfinder"
_ORIENTATIONS = {90: 6, 180: 3, 270: 8}


@dataclass
class LiveView:
    """The live view of one connection.

    Attributes
    ----------
    turned_deg
        Clockwise turn that makes the frames upright; 0, 90, 180 or 270.
    """

    connection: Connection
    turned_deg: int = 0
    on: bool = False

    def frame(self) -> bytes:
        """Return the next frame; an empty one where the camera was busy, which libgphoto2 reports as success.

        Raises
        ------
        DamagedFrame
            What came after others was no picture.
        CameraFault
            The camera has no live view, or is gone.
        """
        try:
            jpeg = self.connection.copied("capture_preview")
        except CameraBusy:
            return b""
        except ConnectionLost:
            raise
        except CameraFault:
            if self.on:
                raise DamagedFrame from None
            raise
        self.on = True
        return marked_upright(jpeg, self.turned_deg)

    def leave(self) -> None:
        """Leave the live view, so that the mirror, the autofocus and the full sensor are free for the capture.

        Raises
        ------
        ConnectionLost
            The camera is gone.
        """
        if not self.on:
            return
        self.on = False
        try:
            switch = self.connection.call("get_single_config", _SWITCH)
            switch.set_value(0)
            self.connection.call("set_single_config", _SWITCH, switch)
        except ConnectionLost:
            raise
        except CameraFault:
            with contextlib.suppress(CameraFault):
                self.connection.call("wait_for_event", 1)


def marked_upright(jpeg: bytes, turned_deg: int) -> bytes:
    """Return the frame with its orientation written into it, as a body does with its stills but not with live frames.

    The mark is an Exif segment with tag 0x0112 alone (CIPA DC-008, 4.6.4 A), put behind the start of the image; the
    picture's own data stay as they are.
    """
    orientation = _ORIENTATIONS.get(turned_deg)
    if orientation is None or not jpeg.startswith(START_OF_IMAGE):
        return jpeg
    tiff = struct.pack(">2sHIHHHIHHI", b"MM", 42, 8, 1, 0x0112, 3, 1, orientation, 0, 0)
    exif = b"Exif\0\0" + tiff
    return START_OF_IMAGE + struct.pack(">2sH", b"\xff\xe1", 2 + len(exif)) + exif + jpeg[len(START_OF_IMAGE) :]
