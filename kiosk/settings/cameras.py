"""The camera, one class per backend."""

from __future__ import annotations

from typing import Any, Literal

from pydantic import Field

from kiosk.settings.section import Section


class SimulatedCameraSettings(Section):
    """A simulated sitter before a simulated camera: a folder of pictures, and who comes and how they behave."""

    backend: Literal["sim"]
    pictures: str
    scenario: dict[str, Any] = Field(default={})


Control = Literal["exposure", "gain", "white_balance", "focus", "brightness", "contrast", "saturation", "sharpness"]


class WebcamSettings(Section):
    """A webcam, through OpenCV: by number, or by a path such as /dev/v4l/by-id/…; and the size of its pictures.

    `adjust` holds the webcam's controls in its own units; what it would change by itself is then switched off.
    """

    backend: Literal["uvc"]
    device: int | str = 0
    adjust: dict[Control, float] = Field(default={})
    still_px: tuple[int, int] = (1920, 1080)


class TetheredCameraSettings(Section):
    """A camera on the USB, through libgphoto2.

    `model` is part of the name of the camera to use where there are several. `adjust` holds the camera's settings by
    role: iso, aperture, shutter, white_balance, temperature, focus_mode, quality, size. `turned_deg` is the clockwise
    turn that makes the live view of a camera on its side upright. With `raw_folder` the camera writes a raw file beside
    each JPEG, and every one is put there for the lab: it shows a face, and stays until the site deletes it.
    """

    backend: Literal["gphoto2"]
    model: str = ""
    adjust: dict[str, str] = Field(default={})
    keep_on_card: bool = False
    raw_folder: str = ""
    turned_deg: Literal[0, 90, 180, 270] = 0
    still_px: tuple[int, int] = (4000, 6000)


class FolderCameraSettings(Section):
    """A folder that a camera sends its pictures to; an attendant releases the camera."""

    backend: Literal["folder"]
    folder: str
    keep: bool = False
    still_px: tuple[int, int] = (4000, 6000)


AnyCamera = SimulatedCameraSettings | WebcamSettings | TetheredCameraSettings | FolderCameraSettings
