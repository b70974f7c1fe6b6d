"""The live view: entered by asking for a picture, left on purpose before every capture."""

from __future__ import annotations

import contextlib
from dataclasses import dataclass

from kiosk.devices.gphoto2.connect import CameraBusy, Connection, ConnectionLost
from kiosk.errors import CameraFault

_SWITCH = "viewfinder"


@dataclass
class LiveView:
    """The live view of one connection."""

    connection: Connection
    on: bool = False

    def frame(self) -> bytes:
        """Return the next frame; an empty one where the camera was busy, which libgphoto2 reports as success.

        Raises
        ------
        CameraFault
            The camera has no live view, or is gone.
        """
        try:
            jpeg = self.connection.copied("capture_preview")
        except CameraBusy:
            return b""
        self.on = True
        return jpeg

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
