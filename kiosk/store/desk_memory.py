"""The desk's state that survives a restart: consecutive wrong PINs, sheets left, whether the booth is closed."""

from __future__ import annotations

import logging
from dataclasses import dataclass
from pathlib import Path

from pydantic import TypeAdapter, ValidationError

from kiosk.system.atomic_files import destroy, interrupted, write_whole

_log = logging.getLogger(__name__)


@dataclass(frozen=True, slots=True)
class Remembered:
    """The remembered fields of `kiosk.core.attendant.state.Desk`; the locks of desk and page are counted apart."""

    wrong: int = 0
    sheets: int | None = None
    is_shut: bool = False
    wrong_on_page: int = 0


_REMEMBERED = TypeAdapter(Remembered)


class DeskMemory:
    """The desk's memory in a small file; if the file is damaged, the desk starts afresh and logs a warning."""

    def __init__(self, path: Path) -> None:
        self._path = path

    def get(self) -> Remembered:
        """Return what was stored last."""
        try:
            return _REMEMBERED.validate_json(self._path.read_bytes())
        except FileNotFoundError:
            pass
        except (OSError, ValidationError) as error:
            _log.warning("%s cannot be read: %s; the sheets must be counted again", self._path, type(error).__name__)
        return Remembered()

    def tidy(self) -> None:
        """Remove half-written files that a power cut has left; only the booth that owns the file may do so."""
        try:
            for left in interrupted(self._path.parent, self._path.name):
                destroy(left)
        except OSError as error:
            _log.warning("half-written copies of %s cannot be removed: %s", self._path, error.strerror)

    def put(self, remembered: Remembered) -> None:
        """Store the memory; if the disk refuses, the previous one remains and a warning is logged."""
        try:
            self._path.parent.mkdir(parents=True, exist_ok=True)
            write_whole(self._path, _REMEMBERED.dump_json(remembered) + b"\n")
        except OSError as error:
            _log.warning("%s cannot be written: %s", self._path, error.strerror)
