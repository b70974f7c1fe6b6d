"""Profiles of camera families, read from `hardware/cameras/*.toml`."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from pathlib import Path
from typing import Annotated

from annotated_types import Ge, Le, MinLen

from kiosk.devices.profile_file import (
    STRICT,
    Quirk,
    longest_match,
    read_shipped,
    require_sources,
    shipped_folder,
)

_SOURCED = ("matches", "names", "prefer", "memory", "card", "raw_pair", "temperatures_k", "own_white")
"""The tables of a profile that need a source."""


@dataclass(frozen=True)
class KnownBad:
    """A version of libgphoto2 in which something does not work, and the thread that says so."""

    __pydantic_config__ = STRICT

    version: str
    what: str
    thread: str


@dataclass(frozen=True)
class BodySetting:
    """A setting in the body's own menu that a technician makes once, and why."""

    __pydantic_config__ = STRICT

    menu: str
    value: str
    because: str
    source: str


@dataclass(frozen=True)
class CameraProfile:
    """One family of cameras.

    Attributes
    ----------
    family
        Its name, for people.
    matches
        Beginnings of the model names that libgphoto2 gives; the empty one matches every camera.
    names
        For each role, the names that the family's cameras give their setting, first match wins.
    sources
        For each of the tables `matches`, `names`, `prefer`, `memory`, `card`, `raw_pair`, `temperatures_k` and
        `own_white` that holds anything: where it is known from.
    proven_on
        What this family's operations have been run against: `responder`, `virtual camera`, or nothing.
    prefer
        For each role, the values to take at the start of a session, the first that the camera offers.
    memory, card
        The values of the role `target` that send a picture to the camera's memory only, or to its card.
    raw_pair
        The values of the role `quality` that write a raw file and a JPEG, the first that the camera offers.
    temperatures_k
        Colour temperatures of the white balances that have one.
    own_white
        The white balances that show a white as it was measured in the body's own menu.
    warm_up_frames
        Live frames that are thrown away at the start, while exposure and white balance settle.
    body
        What to set in the body's own menu, because no computer sets it.
    """

    __pydantic_config__ = STRICT

    family: str
    matches: Annotated[tuple[str, ...], MinLen(1)]
    names: dict[str, tuple[str, ...]]
    sources: dict[str, str]
    proven_on: tuple[str, ...]
    prefer: dict[str, tuple[str, ...]] = field(default_factory=dict)
    memory: tuple[str, ...] = ()
    card: tuple[str, ...] = ()
    raw_pair: tuple[str, ...] = ()
    temperatures_k: dict[str, float] = field(default_factory=dict)
    own_white: tuple[str, ...] = ()
    warm_up_frames: Annotated[int, Ge(0), Le(120)] = 0
    body: tuple[BodySetting, ...] = ()
    known_bad: tuple[KnownBad, ...] = ()
    quirks: tuple[Quirk, ...] = ()

    def __post_init__(self) -> None:
        require_sources(self, _SOURCED, self.sources)


def shipped_cameras() -> tuple[CameraProfile, ...]:
    """Return every profile that comes with the program."""
    return read_shipped("cameras", CameraProfile)


def camera_profile_of(model: str, known: Sequence[CameraProfile]) -> CameraProfile:
    """Return the profile whose match is the longest beginning of the model's name.

    Raises
    ------
    LookupError
        None stands for every camera, as the one that ships does.
    """
    found = longest_match(model, known)
    if found is None:
        raise LookupError(f"no profile stands for {model}")
    return found


def profiles_folder() -> Path:
    """Return the folder of the profiles."""
    return shipped_folder("cameras")
