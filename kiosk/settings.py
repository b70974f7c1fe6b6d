"""The site's settings: one TOML file, unknown keys refused, paths taken from the file's own folder."""

from __future__ import annotations

import json
import tomllib
from pathlib import Path
from typing import Any, Literal

import tomlkit
from pydantic import BaseModel, ConfigDict, Field, ValidationError

from kiosk.core.trust import Confirmation
from kiosk.errors import CannotWrite, SettingsRefused
from kiosk.files import write_whole


class _Section(BaseModel):
    model_config = ConfigDict(frozen=True, extra="forbid", strict=True)


class Booth(_Section):
    """What is offered, and how long a sitter is helped."""

    documents: list[str] = Field(min_length=1)
    languages: list[str] = Field(default=["en"], min_length=1)
    shots: int = Field(default=4, ge=1, le=20)
    session_folder: str = "/run/holdstill"


class SimulatedCamera(_Section):
    """A simulated sitter before a simulated camera: a folder of pictures, and who comes and how they behave."""

    backend: Literal["sim"]
    pictures: str
    scenario: dict[str, Any] = {}


class WebCamera(_Section):
    """A webcam, through OpenCV: by number, or by a path such as /dev/v4l/by-id/…; and the size of its pictures."""

    backend: Literal["uvc"]
    device: int | str = 0
    still_px: tuple[int, int] = (1920, 1080)


class TetheredCamera(_Section):
    """A camera on the USB, through libgphoto2.

    `model` is part of the name of the camera to use where there are several. `adjust` holds the camera's settings by
    role: iso, aperture, shutter, white_balance, focus_mode, quality, size. `turned_deg` is the clockwise turn that
    makes the live view of a camera on its side upright.
    """

    backend: Literal["gphoto2"]
    model: str = ""
    adjust: dict[str, str] = {}
    keep_on_card: bool = False
    turned_deg: Literal[0, 90, 180, 270] = 0
    still_px: tuple[int, int] = (4000, 6000)


class FolderCamera(_Section):
    """A folder that a camera sends its pictures to; an attendant releases the camera."""

    backend: Literal["folder"]
    folder: str
    keep: bool = False
    still_px: tuple[int, int] = (4000, 6000)


class FolderPrint(_Section):
    """A folder that keeps the exact sheets."""

    backend: Literal["folder"]
    folder: str


class Paper(_Section):
    """The paper in the printer, and how photos lie on it."""

    medium: str = "4x6in"
    margins_mm: tuple[float, float, float, float] = (3.0, 3.0, 3.0, 3.0)
    gutter_mm: float = Field(default=2.0, ge=0.0, le=50.0)
    photos: int | None = Field(default=None, ge=1, le=100)


class Screen(_Section):
    """The sitter's screen."""

    size_px: tuple[int, int] = (1080, 1920)
    fullscreen: bool = True


class Settings(_Section):
    """All settings of one booth, and the file they were read from."""

    booth: Booth
    camera: SimulatedCamera | WebCamera | TetheredCamera | FolderCamera = Field(discriminator="backend")
    printer: FolderPrint
    paper: Paper = Paper()
    screen: Screen = Screen()
    confirmations: list[Confirmation] = []
    file: Path

    def path(self, text: str) -> Path:
        """Return a path of the settings, taken from the settings file's folder."""
        return (self.file.parent / text).resolve()


def read_settings(path: Path) -> Settings:
    """Return the settings in `path`.

    Raises
    ------
    SettingsRefused
        The file is missing, is not TOML, or has an unknown key or a wrong type.
    """
    try:
        table = tomllib.loads(path.read_text(encoding="utf-8"))
    except OSError as error:
        raise SettingsRefused(path=path, where="file", detail=error.strerror or "cannot be read") from error
    except (tomllib.TOMLDecodeError, UnicodeDecodeError) as error:
        raise SettingsRefused(path=path, where="file", detail=f"not TOML: {error}") from error
    if "file" in table:
        raise SettingsRefused(path=path, where="file", detail="unknown key")
    try:
        return Settings.model_validate_json(json.dumps({**table, "file": str(path.resolve())}, default=str))
    except ValidationError as error:
        raise refusal(path, error) from error


def add_confirmation(path: Path, confirmation: Confirmation) -> None:
    """Add a confirmation at the end of the settings file; all else in it stays as it was written.

    Raises
    ------
    SettingsRefused
        The settings file is missing or has a fault of its own.
    CannotWrite
        It cannot be written; it stands as it was.
    """
    read_settings(path)
    settings = tomlkit.parse(path.read_text(encoding="utf-8"))
    confirmed = settings.setdefault("confirmations", tomlkit.aot())
    confirmed.append(tomlkit.item(confirmation.model_dump()))
    try:
        write_whole(path, tomlkit.dumps(settings).encode())
    except OSError as error:
        raise CannotWrite(path=path, detail=(error.strerror or "it cannot be written").lower()) from error


def refusal(path: Path, error: ValidationError, within: str = "") -> SettingsRefused:
    """Return the first thing wrong with the settings, with its key."""
    first = error.errors(include_url=False, include_context=False)[0]
    loc = first["loc"]
    of_a_backend = loc[:1] == ("camera",) and not within
    keys = [within, *(str(part) for part in (loc[:1] + loc[2:] if of_a_backend else loc))]
    detail = "unknown key" if first["type"] == "extra_forbidden" else first["msg"]
    return SettingsRefused(path=path, where=".".join(filter(None, keys)), detail=detail[:1].lower() + detail[1:])
