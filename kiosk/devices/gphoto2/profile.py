"""What is known of each family of cameras, as data: `hardware/cameras/*.toml`."""

from __future__ import annotations

import tomllib
from pathlib import Path

from pydantic import BaseModel, ConfigDict, Field, ValidationError

from kiosk.errors import SettingsRefused
from kiosk.settings import refusal


class _Facts(BaseModel):
    model_config = ConfigDict(frozen=True, extra="forbid", strict=True)


class KnownBad(_Facts):
    """A version of libgphoto2 in which something does not work, and the thread that says so."""

    version: str
    what: str
    thread: str


class Quirk(_Facts):
    """Something a booth's builder has to know, and where it is known from."""

    what: str
    remedy: str
    source: str


class Profile(_Facts):
    """One family of cameras.

    Attributes
    ----------
    family
        Its name, for people.
    matches
        Beginnings of the model names that libgphoto2 gives; the empty one matches every camera.
    proven_on
        What this family's operations have been run against: `responder`, `virtual camera`, or nothing.
    names
        For each role, the names that the family's cameras give their setting, first match wins.
    prefer
        For each role, the values to take at the start of a session, the first that the camera offers.
    memory, card
        The values of the role `target` that send a picture to the camera's memory only, or to its card.
    raw_pair
        The values of the role `quality` that write a raw file and a JPEG, the first that the camera offers.
    temperatures_k
        Colour temperatures of the white balances that have one.
    temperatures_source
        Where those are told.
    warm_up_frames
        Live frames that are thrown away at the start, while exposure and white balance settle.
    """

    family: str
    matches: tuple[str, ...] = Field(min_length=1)
    proven_on: tuple[str, ...] = ()
    names: dict[str, tuple[str, ...]]
    prefer: dict[str, tuple[str, ...]] = {}
    memory: tuple[str, ...] = ("Internal RAM",)
    card: tuple[str, ...] = ("Memory card",)
    raw_pair: tuple[str, ...] = ()
    temperatures_k: dict[str, float] = {}
    temperatures_source: str = ""
    warm_up_frames: int = Field(default=0, ge=0, le=120)
    known_bad: tuple[KnownBad, ...] = ()
    quirks: tuple[Quirk, ...] = ()


def read_profile(path: Path) -> Profile:
    """Return the profile in `path`.

    Raises
    ------
    SettingsRefused
        It is no TOML, or has an unknown key or a wrong type.
    """
    import json

    try:
        return Profile.model_validate_json(json.dumps(tomllib.loads(path.read_text(encoding="utf-8")), default=str))
    except ValidationError as error:
        raise refusal(path, error) from error
    except (OSError, UnicodeDecodeError, tomllib.TOMLDecodeError) as error:
        raise SettingsRefused(path=path, where="file", detail=str(error)) from error


def profile_of(model: str) -> Profile:
    """Return the profile whose match is the longest beginning of the model's name."""
    found = [
        (len(match), profile)
        for profile in map(read_profile, sorted(profiles_folder().glob("*.toml")))
        for match in profile.matches
        if model.lower().startswith(match.lower())
    ]
    return max(found, key=lambda pair: pair[0])[1]


def profiles_folder() -> Path:
    """Return where the profiles lie: in the installed package, or in the source tree."""
    installed = Path(__file__).parents[2] / "data" / "cameras"
    return installed if installed.is_dir() else Path(__file__).parents[3] / "hardware" / "cameras"
