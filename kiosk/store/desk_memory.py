"""What the attendant's desk remembers over a restart: wrong PINs in a row, sheets left, whether the booth is shut."""

from __future__ import annotations

import logging
from dataclasses import dataclass
from pathlib import Path

from pydantic import TypeAdapter, ValidationError

from kiosk.system.atomic_files import destroy, interrupted, write_whole

_log = logging.getLogger(__name__)


@dataclass(frozen=True, slots=True)
class Remembered:
    """As `core.attendant.state.Desk` has them; the wrong PINs at the booth's own desk, and those on the page."""

    wrong: int = 0
    sheets: int | None = None
    is_shut: bool = False
    wrong_on_page: int = 0


_REMEMBERED = TypeAdapter(Remembered)


class DeskMemory:
    """A small file; without a whole one the desk begins afresh, and says so in the log."""

    def __init__(self, path: Path) -> None:
        self._path = path

    def get(self) -> Remembered:
        """Return what was last kept."""
        try:
            return _REMEMBERED.validate_json(self._path.read_bytes())
        except FileNotFoundError:
            pass
        except (OSError, ValidationError) as error:
            _log.warning("%s cannot be read: %s; the sheets must be counted anew", self._path, type(error).__name__)
        return Remembered()

    def tidy(self) -> None:
        """Remove what a power cut has left of it; for the booth that writes it, at its start."""
        try:
            for left in interrupted(self._path.parent, self._path.name):
                destroy(left)
        except OSError as error:
            _log.warning("what a power cut left of %s cannot be removed: %s", self._path, error.strerror)

    def put(self, remembered: Remembered) -> None:
        """Keep it; where the disk takes nothing, what was kept before stays."""
        try:
            self._path.parent.mkdir(parents=True, exist_ok=True)
            write_whole(self._path, _REMEMBERED.dump_json(remembered) + b"\n")
        except OSError as error:
            _log.warning("%s cannot be written: %s", self._path, error.strerror)
