"""What is known of each family of cameras, as data: `hardware/cameras/*.toml`.

The values are plain, because the camera's own process takes them over and must be there within half a second: pydantic
and the settings take longer to import than all else there, so they are only called for where the files are read.
"""

from __future__ import annotations

import tomllib
from collections.abc import Sequence
from dataclasses import dataclass, field
from pathlib import Path
from typing import Annotated

from annotated_types import Ge, Le, MinLen

from kiosk.errors import SettingsRefused

_STRICT = {"extra": "forbid", "strict": True}


@dataclass(frozen=True)
class KnownBad:
    """A version of libgphoto2 in which something does not work, and the thread that says so."""

    __pydantic_config__ = _STRICT

    version: str
    what: str
    thread: str


@dataclass(frozen=True)
class Quirk:
    """Something a booth's builder has to know, and where it is known from."""

    __pydantic_config__ = _STRICT

    what: str
    remedy: str
    source: str


@dataclass(frozen=True)
class Profile:
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
    own_white
        The white balances that show a white as it was measured in the body's own menu.
    warm_up_frames
        Live frames that are thrown away at the start, while exposure and white balance settle.
    """

    __pydantic_config__ = _STRICT

    family: str
    matches: Annotated[tuple[str, ...], MinLen(1)]
    names: dict[str, tuple[str, ...]]
    proven_on: tuple[str, ...] = ()
    prefer: dict[str, tuple[str, ...]] = field(default_factory=dict)
    memory: tuple[str, ...] = ("Internal RAM",)
    card: tuple[str, ...] = ("Memory card",)
    raw_pair: tuple[str, ...] = ()
    temperatures_k: dict[str, float] = field(default_factory=dict)
    temperatures_source: str = ""
    own_white: tuple[str, ...] = ()
    warm_up_frames: Annotated[int, Ge(0), Le(120)] = 0
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

    from pydantic import TypeAdapter, ValidationError

    from kiosk.settings import refusal

    try:
        table = tomllib.loads(path.read_text(encoding="utf-8"))
        return TypeAdapter(Profile).validate_json(json.dumps(table, default=str))
    except ValidationError as error:
        raise refusal(path, error) from error
    except (OSError, UnicodeDecodeError, tomllib.TOMLDecodeError) as error:
        raise SettingsRefused(path=path, where="file", detail=str(error)) from error


def shipped_profiles() -> tuple[Profile, ...]:
    """Return every profile that comes with the program."""
    return tuple(map(read_profile, sorted(profiles_folder().glob("*.toml"))))


def profile_of(model: str, known: Sequence[Profile]) -> Profile:
    """Return the profile whose match is the longest beginning of the model's name."""
    found = [
        (len(match), profile)
        for profile in known
        for match in profile.matches
        if model.lower().startswith(match.lower())
    ]
    return max(found, key=lambda pair: pair[0])[1]


def profiles_folder() -> Path:
    """Return where the profiles lie: in the installed package, or in the source tree."""
    installed = Path(__file__).parents[2] / "data" / "cameras"
    return installed if installed.is_dir() else Path(__file__).parents[3] / "hardware" / "cameras"
