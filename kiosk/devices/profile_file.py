"""Profiles of devices as TOML files: where they are kept, and a reader that accepts no value without a source.

The classes are plain, because a camera's own process takes its profile over and must be there within half a second:
pydantic and the settings take longer to import than all else there, so they are only called for where files are read.
"""

from __future__ import annotations

import tomllib
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Protocol, TypeVar

from kiosk.errors import SettingsRefused

T = TypeVar("T")
STRICT = {"extra": "forbid", "strict": True}
"""Pydantic's configuration for profiles: unknown keys are refused, and no value is converted to another type."""


class Matched(Protocol):
    """What all profiles share: the prefixes of the device names that they apply to."""

    @property
    def matches(self) -> tuple[str, ...]:
        """Prefixes of names, in upper or lower case; the empty one applies to every device."""


M = TypeVar("M", bound=Matched)


@dataclass(frozen=True)
class Quirk:
    """A peculiarity that a booth's builder has to know, its remedy, and the source of both."""

    __pydantic_config__ = STRICT

    what: str
    remedy: str
    source: str


def require_sources(profile: object, tables: Iterable[str], sources: Mapping[str, str]) -> None:
    """Check that each non-empty table of a profile has a source, and that each source belongs to a table.

    Raises
    ------
    ValueError
        With the table that lacks one, or the source that belongs to nothing.
    """
    filled = {table for table in tables if getattr(profile, table)}
    for table in sorted(filled - set(sources)):
        raise ValueError(f"sources: {table} has no source; name one, or write 'from memory'")
    for table in sorted(set(sources) - filled):
        raise ValueError(f"sources: there is no {table} that it could be the source of")


def read_profile_file(path: Path, kind: type[T]) -> T:
    """Return the profile in a file.

    Raises
    ------
    SettingsRefused
        It is no TOML, has an unknown key or a wrong type, or a value without its source.
    """
    import json

    from pydantic import TypeAdapter, ValidationError

    from kiosk.settings import refusal
    from kiosk.system.toml_file import parse_toml

    try:
        table = parse_toml(path.read_text(encoding="utf-8"))
        return TypeAdapter(kind).validate_json(json.dumps(table, default=str))
    except ValidationError as error:
        raise refusal(path, error) from error
    except (OSError, UnicodeDecodeError, tomllib.TOMLDecodeError) as error:
        raise SettingsRefused(path=path, where="file", detail=str(error)) from error


def longest_match(name: str, known: Sequence[M]) -> M | None:
    """Return the profile with the longest prefix of a device's name, None if no prefix applies."""
    found = [
        (len(match), profile)
        for profile in known
        for match in profile.matches
        if name.lower().startswith(match.lower())
    ]
    return max(found, key=lambda pair: pair[0])[1] if found else None


def read_shipped(name: str, kind: type[T]) -> tuple[T, ...]:
    """Return every profile of a kind that comes with the program, in the order of the files' names."""
    return tuple(read_profile_file(path, kind) for path in sorted(shipped_folder(name).glob("*.toml")))


def shipped_folder(name: str) -> Path:
    """Return the folder of a kind of profiles, in the installed package or in the source tree."""
    installed = Path(__file__).parents[1] / "data" / name
    return installed if installed.is_dir() else Path(__file__).parents[2] / "hardware" / name
