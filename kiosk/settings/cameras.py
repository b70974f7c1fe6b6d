"""The camera, one class per backend."""

from __future__ import annotations

from typing import Any, Literal

from pydantic import Field

from kiosk.settings.section import Section


class SimulatedCameraSettings(Section):
    """A simulated camera with simulated sitters: a folder of pictures, and a script of who comes and what they do."""

    backend: Literal["sim"]
    pictures: str
    scenario: dict[str, Any] = Field(default={})


Control = Literal["exposure", "gain", "white_balance", "focus", "brightness", "contrast", "saturation", "sharpness"]


class WebcamSettings(Section):
    """A webcam through OpenCV, by number or by a path such as /dev/v4l/by-id/…, and the size of its pictures.

    `adjust` sets the webcam's controls in its own units, and switches off the automatic mode of each.
    """

    backend: Literal["uvc"]
    device: int | str = 0
    adjust: dict[Control, float] = Field(default={})
    still_px: tuple[int, int] = (1920, 1080)


class TetheredCameraSettings(Section):
    """A camera on USB, through libgphoto2.

    Attributes
    ----------
    model
        Part of the model name, to choose among several cameras.
    adjust
        The camera's settings by role: iso, aperture, shutter, white_balance, temperature, focus_mode, quality, size.
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
    adjust: dict[str, str] = Field(default={})
    keep_on_card: bool = False
    raw_folder: str = ""
    turned_deg: Literal[0, 90, 180, 270] = 0
    still_px: tuple[int, int] = (4000, 6000)


class FolderCameraSettings(Section):
    """A folder to which a camera sends its pictures; an attendant releases the shutter by hand."""

    backend: Literal["folder"]
    folder: str
    keep: bool = False
    still_px: tuple[int, int] = (4000, 6000)


AnyCamera = SimulatedCameraSettings | WebcamSettings | TetheredCameraSettings | FolderCameraSettings
