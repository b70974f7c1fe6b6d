"""What a command tells beside its result, on standard error."""

from __future__ import annotations

import sys
from pathlib import Path
from typing import TYPE_CHECKING

from kiosk.core.rules import Document
from kiosk.errors import CannotWrite, KioskError
from kiosk.files import write_whole

if TYPE_CHECKING:
    from kiosk.catalogue import Catalogue

SETTINGS = Path("/etc/holdstill/settings.toml")
"""Where a booth keeps its settings."""


def known_documents(settings: Path) -> Catalogue:
    """Return the documents that come with the program and, where the booth has settings, the shop's own."""
    from kiosk.catalogue import Catalogue
    from kiosk.settings import read_settings

    return Catalogue.beside(read_settings(settings).own_documents() if settings.exists() else None)


def complain(error: KioskError) -> int:
    """Say an error and its next step; return its exit code."""
    print(f"holdstill: {error}\n  {error.advice}", file=sys.stderr)
    return error.exit_code


def notice(text: str) -> None:
    """Say something that is no error; nothing where the text is empty."""
    if text:
        print(text, file=sys.stderr)


def cautions(document: Document) -> None:
    """Say whether the authority takes such a photo, who decides, and when the rules were read."""
    notice("" if document.channel.value == "self_service" else document.channel.text)
    notice(f"The issuing authority decides. Rules of {document.id} as read on {document.read_on}.")


def write(path: Path, content: bytes) -> None:
    """Write a result whole.

    Raises
    ------
    CannotWrite
        Nothing was left behind.
    """
    try:
        write_whole(path, content)
    except OSError as error:
        raise CannotWrite(path=path, detail=(error.strerror or "it cannot be written").lower()) from error
