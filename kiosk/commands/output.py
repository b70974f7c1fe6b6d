"""The output of commands: files, JSON, and messages on standard error."""

from __future__ import annotations

import json
import sys
from pathlib import Path
from typing import TYPE_CHECKING, Any

from kiosk.core.document.document import Document
from kiosk.errors import CannotWrite, KioskError, os_reason
from kiosk.system.atomic_files import write_whole

if TYPE_CHECKING:
    from kiosk.catalogue.documents import Catalogue

SETTINGS = Path("/etc/holdstill/settings.toml")
"""The default path of a booth's settings."""


DIGITS = 12
"""Significant digits of numbers in JSON: more than any measurement has, and few enough to hide the rounding errors of
binary arithmetic (IEEE 754 double: 15.9)."""


def known_documents(settings: Path) -> Catalogue:
    """Return the documents shipped with the program and, if the booth has settings, the shop's own."""
    from kiosk.catalogue.documents import Catalogue
    from kiosk.settings import read_settings

    return Catalogue.beside(read_settings(settings).own_documents() if settings.exists() else None)


def complain(error: KioskError) -> int:
    """Print an error and its next step, and return its exit code."""
    print(f"holdstill: {error}\n  {error.advice}", file=sys.stderr)
    return error.exit_code


def notice(text: str) -> None:
    """Print a message that is not an error, unless it is empty."""
    if text:
        print(text, file=sys.stderr)


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
    """Write a result atomically.

    Raises
    ------
    CannotWrite
        The file cannot be written; nothing was left behind.
    """
    try:
        write_whole(path, content)
    except OSError as error:
        raise CannotWrite(path=path, detail=os_reason(error)) from error
