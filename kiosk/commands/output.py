"""The output of commands: files, JSON, and messages on standard error."""

from __future__ import annotations

import json
import os
import sys
from contextvars import ContextVar
from pathlib import Path
from typing import TYPE_CHECKING, Any

from kiosk.commands.streams import silence
from kiosk.errors import CannotWrite, KioskError, os_reason, shown
from kiosk.system.atomic_files import SHARED, write_whole

if TYPE_CHECKING:
    from kiosk.catalogue.documents import Catalogue
    from kiosk.core.document.document import Document

_IS_QUIET: ContextVar[bool] = ContextVar("is_quiet", default=False)


def _default_settings() -> Path:
    """Return the user's own settings file if there is one (XDG Base Directory Specification), or the booth's."""
    own = Path(os.environ.get("XDG_CONFIG_HOME") or f"{os.environ.get('HOME', '')}/.config", "holdstill/settings.toml")
    return own if own.is_absolute() and os.access(own, os.R_OK) else Path("/etc/holdstill/settings.toml")


SETTINGS = _default_settings()
"""The settings file where none is named."""

DIGITS = 12
"""Significant digits of numbers in JSON: more than any measurement has, and few enough to hide the rounding errors of
binary arithmetic (IEEE 754 double: 15.9)."""


def are_there(settings: Path) -> bool:
    """Return whether there are settings to read; where this user may not even look, reading them says so."""
    try:
        return settings.exists()
    except OSError:
        return True


def known_documents(settings: Path) -> Catalogue:
    """Return the documents in force at a booth with the shop's own or, without settings, those of the program.

    Raises
    ------
    SettingsRefused
        The settings have a fault, or were named and do not exist.
    """
    from kiosk.catalogue.documents import Catalogue
    from kiosk.catalogue.installed import in_force
    from kiosk.settings import read_settings

    if settings is SETTINGS and not are_there(settings):
        return Catalogue.load()
    site = read_settings(settings)
    return Catalogue.beside(site.own_documents(), in_force(site.rules))


def count_of(number: int, thing: str, things: str = "") -> str:
    """Return a number with what it counts, in the plural unless it is one; without `things`, that is `thing` and s."""
    return f"{number} {thing}" if number == 1 else f"{number} {things or thing + 's'}"


def complain(error: KioskError) -> int:
    """Print an error and its next step, and return its exit code."""
    _message(f"holdstill: {error}\n  {error.advice}")
    return error.exit_code


def hush(is_quiet: bool) -> None:
    """Print notices from now on, or leave them out."""
    _IS_QUIET.set(is_quiet)


def notice(text: str) -> None:
    """Print a message that is not an error on one line, unless it is empty."""
    if text and not _IS_QUIET.get():
        _message(shown(text))


def _message(text: str) -> None:
    """Print to standard error; where that is full, the exit code has to do."""
    try:
        print(text, file=sys.stderr)
    except OSError:
        silence(sys.stderr)


def cautions(document: Document) -> None:
    """Print whether the authority accepts such a photo, who decides, and when the rules were read."""
    notice("" if document.channel.value == "self_service" else document.channel.text)
    notice(f"The issuing authority decides. Rules of {document.id} as read on {document.read_on}.")


def json_text(data: Any, indent: int | None = None) -> str:
    """Return data as JSON, with numbers rounded to `DIGITS`: 31.5 and not 31.499999999999996."""
    return json.dumps(_rounded(data), indent=indent, ensure_ascii=False)


def _rounded(data: Any) -> Any:
    match data:
        case float():
            return float(f"{data:.{DIGITS}g}")
        case dict():
            return {key: _rounded(value) for key, value in data.items()}
        case list() | tuple():
            return [_rounded(value) for value in data]
        case _:
            return data


def write(path: Path, content: bytes) -> None:
    """Write a result atomically, for those to read whom the umask lets.

    Raises
    ------
    CannotWrite
        The file cannot be written; nothing was left behind.
    """
    try:
        write_whole(path, content, mode=SHARED)
    except OSError as error:
        raise CannotWrite(path=path, detail=os_reason(error)) from error


def check_place(path: Path) -> None:
    """Check that there is a folder for a result, before the work that it is a result of.

    Raises
    ------
    CannotWrite
        There is none.
    """
    if not path.parent.is_dir():
        raise CannotWrite(path=path, detail="its folder does not exist")


def encoded(text: str) -> bytes:
    """Return a text as UTF-8, with escapes for the bytes of a file's name that are none."""
    return text.encode("utf-8", "backslashreplace")
