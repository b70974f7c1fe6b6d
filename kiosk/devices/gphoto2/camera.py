"""The driver of tethered cameras: connection, live view and shots; it runs in the camera's own process."""

from __future__ import annotations

import os
import time
from collections.abc import Mapping
from pathlib import Path

from kiosk.devices.base import LOW_BATTERY_PERCENT, DeviceSettings
from kiosk.devices.camera.driver import LOST_SHOT
from kiosk.devices.gphoto2.connect import Connection
from kiosk.devices.gphoto2.library import library
from kiosk.devices.gphoto2.live import LiveView
from kiosk.devices.gphoto2.profile import CameraProfile, camera_profile_of, shipped_cameras
from kiosk.devices.gphoto2.settings import CameraSettings, automatic_among
from kiosk.devices.gphoto2.shoot import Shooting
from kiosk.errors import CameraCardFull, CameraFault

_LOOPBACK = "ptpip:127."
FORGET_EVERY_S = 2.0
"""The interval at which pictures that nobody ordered are deleted during the live view: they show faces, and each look
costs some milliseconds of it."""


class TetheredDriver:
    """A camera on the USB, or at an address in the network.

    Parameters
    ----------
    port
        "" for the first camera found on the USB, whose address there changes each time it is switched on; or
        `ptpip:ADDRESS` of one that speaks PTP/IP, with its port behind a colon where it is not 15740.
    model
        Part of the model's name; "" for any camera.
    wanted
        The site's settings by role (`iso`, `aperture`, `shutter`, `white_balance`, ...); each must be had.
    keep
        Whether pictures stay on the camera's card.
    raw_folder
        Where the raw files go, of a body that is then set to write them; None for JPEG alone.
    turned_deg
        Clockwise turn that makes the live view upright; the stills of a body that stands upright say so themselves.
    """

    frame_interval_s = 1 / 30

    def __init__(
        self,
        port: str = "",
        model: str = "",
        wanted: Mapping[str, str] | None = None,
        *,
        keep: bool = False,
        raw_folder: Path | None = None,
        turned_deg: int = 0,
    ) -> None:
        self._port = port
        self._model = model
        self._wanted = dict(wanted or {})
        self._keep = keep
        self._raw_folder = raw_folder
        self._turned_deg = turned_deg
        self._connection: Connection | None = None
        self._settings: CameraSettings | None = None
        self._live: LiveView | None = None
        self._shooting: Shooting | None = None
        self._thrown_away = 0
        self._forgot_s = 0.0
        self._end: CameraCardFull | None = None
        self._known = shipped_cameras()
        self._profile: CameraProfile | None = None
        self._has_noticed_battery = False
        self._look_at_battery = False
        self._notices: list[str] = []

    @property
    def simulated(self) -> bool:
        """Whether the camera is a test bed: a program of this machine, or libgphoto2's virtual camera."""
        return self._port.startswith(_LOOPBACK) or "VCAMERADIR" in os.environ

    def warm_up(self) -> None:
        """Load libgphoto2, its list of models, and the reader of a still's time."""
        import PIL.JpegImagePlugin  # noqa: F401

        library()

    def open(self) -> str:
        """Connect, apply the settings of the site and of the camera's family, and return the model.

        Raises
        ------
        NotThere
            No camera answers.
        ConnectionLost
            The connection broke at once.
        CameraCardFull
            Pictures are to stay on the card, and it has no room.
        CameraSettingRefused
            The camera does not offer what the site's settings ask for.
        """
        self._connection = connection = Connection(self._port, self._model)
        self._profile = profile = camera_profile_of(connection.model, self._known)
        self._settings = CameraSettings(connection, profile.names)
        self._live = LiveView(connection, self._turned_deg)
        self._shooting = Shooting(connection, self._keep, self._raw_folder)
        self._settings.prefer("target", profile.card if self._keep else profile.memory)
        quality = {"quality": profile.raw_pair} if self._raw_folder else {}
        for role, values in (profile.prefer | quality).items():
            if role not in self._wanted:
                self._settings.prefer(role, values)
        for role, value in self._wanted.items():
            self._settings.require(role, value)
        self._settings.remember()
        if self._keep:
            self._shooting.check_card()
        quality_now = self._settings.read("quality")
        self._shooting.pair = None if quality_now is None else "+" in quality_now
        self._shooting.times.read_clock()
        self._forget(self._shooting)
        self._thrown_away = profile.warm_up_frames
        self._look_at_battery = True
        self._notices = [
            f"libgphoto2 {bad.version} is known to be bad for this camera: {bad.what} ({bad.thread})."
            for bad in profile.known_bad
            if bad.version == library().version
        ]
        return connection.model

    def next_frame(self) -> bytes:
        """Delete or keep the last shot's files, then return the next live frame."""
        if self._live is None or self._shooting is None:
            raise CameraFault(detail="it is not open")
        if self._end is not None:
            raise self._end
        self._shooting.tidy()
        if time.monotonic() - self._forgot_s > FORGET_EVERY_S:
            self._forget(self._shooting)
        jpeg = self._live.frame()
        if self._thrown_away and jpeg:
            self._thrown_away -= 1
            return b""
        return jpeg

    def shoot(self) -> bytes:
        """Leave the live view and return a still.

        A card found full ends the connection; `open` then refuses until there is room again.
        """
        if self._live is None or self._shooting is None:
            raise CameraFault(detail="it is not open")
        self._live.leave()
        self._look_at_battery = True
        try:
            return self._shooting.shoot()
        except CameraCardFull as error:
            self._end = error
            raise

    def forget(self) -> None:
        """Delete the pictures that the camera has taken until now, unless they are kept, and undo turned dials.

        A dial that is turned by hand in the middle of the day else spoils every photo after it. One that the settings
        leave alone is told of.
        """
        if self._shooting is not None and self._settings is not None:
            self._forget(self._shooting)
            self._notices += [*self._settings.set_again(), *self._settings.changed()]

    def notices(self) -> list[str]:
        """Return new notices: of a bad library, a low battery, a raw file not kept, a stray picture, a turned dial."""
        notices, self._notices = self._notices, []
        if self._shooting:
            notices += self._shooting.notices()
        return [*notices, *self._battery_notice()]

    def settings(self) -> DeviceSettings:
        """Return the camera's settings, the values that they can have, and what the body sets by itself."""
        if self._settings is None or self._profile is None or self._shooting is None:
            raise CameraFault(detail="it is not open")
        profile = self._profile
        settings = self._settings.all()
        automatic = automatic_among(settings)
        return DeviceSettings(settings, profile.temperatures_k, profile.own_white, self._shooting.room(), automatic)

    def _forget(self, shooting: Shooting) -> None:
        shooting.forget()
        self._forgot_s = time.monotonic()

    def _battery_notice(self) -> list[str]:
        """Check the battery at the start and after each shot, until one notice has been given."""
        look, self._look_at_battery = self._look_at_battery and not self._has_noticed_battery, False
        percent = self._settings.battery_percent() if self._settings and look else None
        if percent is None or percent > LOW_BATTERY_PERCENT:
            return []
        self._has_noticed_battery = True
        return [f"The camera's battery is at {percent} %; a mains adapter keeps it from stopping."]

    def ask(self, wish: str, argument: str) -> None:
        """Find and delete the picture of a shot that was lost with an earlier connection (`LOST_SHOT`)."""
        if wish == LOST_SHOT and self._shooting is not None:
            self._shooting.expect_lost(float(argument))

    def close(self) -> None:
        """Leave the live view, restore the camera's settings and disconnect."""
        try:
            if self._shooting:
                self._shooting.tidy()
            if self._live:
                self._live.leave()
        except CameraFault:
            pass
        finally:
            if self._settings:
                self._settings.restore()
            if self._connection:
                self._connection.close()
            self._connection = self._settings = self._live = self._shooting = None
