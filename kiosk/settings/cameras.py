"""The camera, one class per backend."""

from __future__ import annotations

from typing import Any, Literal, Self
from urllib.parse import urlsplit

from pydantic import Field, field_validator, model_validator

from kiosk.settings.section import Section


class SimulatedCameraSettings(Section):
    """A simulated camera with simulated sitters: a folder of pictures, and a script of who comes and what they do."""

    backend: Literal["sim"]
    pictures: str
    scenario: dict[str, Any] = Field(default={})


Control = Literal["exposure", "gain", "white_balance", "focus", "brightness", "contrast", "saturation", "sharpness"]


class WebcamSettings(Section):
    """A webcam through OpenCV.

    Attributes
    ----------
    device
        Its number, or a path such as /dev/v4l/by-id/….
    serial
        Its serial number instead, which stays the same wherever it is plugged in.
    adjust
        The webcam's controls in its own units; the automatic mode of each is switched off.
    still_px
        Width and height of the pictures it is asked for, live and still.
    rate_hz
        How many pictures a second it is asked for; its own rate where this is left out.
    mains_hz
        Frequency of the mains, 50 or 60, against the flicker of lamps.
    """

    backend: Literal["uvc"]
    device: int | str = 0
    serial: str = ""
    adjust: dict[Control, float] = Field(default={})
    still_px: tuple[int, int] = (1920, 1080)
    rate_hz: float | None = Field(default=None, gt=0)
    mains_hz: Literal[50, 60] | None = None

    @model_validator(mode="after")
    def _names_one(self) -> Self:
        if self.serial and "device" in self.model_fields_set:
            raise ValueError("name the webcam by its device or by its serial number, not by both")
        return self


class TetheredCameraSettings(Section):
    """A camera on USB or in the network, through libgphoto2.

    Attributes
    ----------
    model
        Part of the model name, to choose among several cameras on USB.
    port
        The address of a camera in the network that speaks PTP/IP: `ptpip:192.168.1.20`, with its port behind a colon
        where it is not 15740. Nothing else is connected to. Empty for USB.
    adjust
        The camera's settings by role: iso, auto_iso, aperture, shutter, exposure_mode, white_balance, temperature,
        focus_mode, quality, size.
    keep_on_card
        Whether pictures stay on the camera's card after they were transferred.
    raw_folder
        A folder for raw files, which the camera then writes beside each JPEG, for the lab. They show faces, and stay
        until the site deletes them.
    turned_deg
        The clockwise rotation that makes the live view of a camera mounted on its side upright.
    still_px
        Width and height of an upright still.
    """

    backend: Literal["gphoto2"]
    model: str = ""
    port: str = Field(default="", pattern=r"^(ptpip:\d{1,3}(\.\d{1,3}){3}(:\d{1,5})?)?$")
    adjust: dict[str, str] = Field(default={})
    keep_on_card: bool = False
    raw_folder: str = ""
    turned_deg: Literal[0, 90, 180, 270] = 0
    still_px: tuple[int, int] = (4000, 6000)


class FolderCameraSettings(Section):
    """A folder to which a camera sends its pictures; an attendant releases the shutter by hand, or a command does.

    Attributes
    ----------
    keep
        Whether pictures stay in the folder.
    command
        A program of the site's own, and its arguments, that releases the camera; it runs in the folder at each shot,
        and the picture that then comes in is the shot.
    """

    backend: Literal["folder"]
    folder: str
    keep: bool = False
    command: tuple[str, ...] = ()
    still_px: tuple[int, int] = (4000, 6000)


class NetworkCameraSettings(Section):
    """A camera in the network that sends video by RTSP, which is not encrypted.

    Attributes
    ----------
    address
        Of its stream, `rtsp://192.168.1.30:554/stream`. No other host is connected to.
    user, password
        What the camera asks for; never in the address, which is shown.
    latency_s
        How long a picture takes from the lens to the network; a still waits for as long after it was ordered. With more
        than a second nobody can be coached.
    still_px
        Width and height of its pictures, live and still, as they are set in the camera.
    """

    backend: Literal["rtsp"]
    address: str
    user: str = ""
    password: str = ""
    latency_s: float = Field(default=0.5, ge=0, le=1)
    still_px: tuple[int, int] = (1920, 1080)

    @field_validator("address")
    @classmethod
    def _is_address(cls, address: str) -> str:
        return rtsp_address(address)


def rtsp_address(text: str) -> str:
    """Return the address of a stream.

    Raises
    ------
    ValueError
        It is none, or names a user.
    """
    parts = urlsplit(text)
    if "@" in text:
        raise ValueError("write the user and the password as keys of their own, user and password")
    if parts.scheme != "rtsp" or not parts.hostname or parts.port == 0 or not (text.isascii() and text.isprintable()):
        raise ValueError("write the address as rtsp://192.168.1.30:554/stream")
    return text


AnyCamera = (
    SimulatedCameraSettings | WebcamSettings | TetheredCameraSettings | FolderCameraSettings | NetworkCameraSettings
)
