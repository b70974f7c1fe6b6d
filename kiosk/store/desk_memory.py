"""The desk's state that survives a restart: wrong PINs in a row, the count of sheets, whether the booth is closed."""

from __future__ import annotations

import logging
from dataclasses import dataclass
from pathlib import Path

from pydantic import TypeAdapter, ValidationError

from kiosk.core.attendant.pin_lock import locked
from kiosk.core.attendant.state import Desk
from kiosk.system.atomic_files import destroy, interrupted, write_whole

_log = logging.getLogger(__name__)


@dataclass(frozen=True, slots=True)
class Remembered:
    """The remembered fields of `kiosk.core.attendant.state.Desk`; the locks of desk and page are counted apart.

    A file that was written before sheets on their way were remembered has none.
    """

    wrong: int = 0
    sheets: int | None = None
    is_shut: bool = False
    wrong_on_page: int = 0
    on_their_way: tuple[tuple[str, int], ...] = ()


def remembered(desk: Desk) -> Remembered:
    """Return what is to be remembered of a desk."""
    return Remembered(desk.lock.wrong, desk.sheets, desk.is_shut, desk.page_lock.wrong, desk.on_their_way)


def recalled(kept: Remembered, now_s: float) -> Desk:
    """Return a desk as it is after a restart: its locks begin to wait anew."""
    return Desk(
        lock=locked(kept.wrong, now_s),
        page_lock=locked(kept.wrong_on_page, now_s),
        sheets=kept.sheets,
        on_their_way=kept.on_their_way,
        is_shut=kept.is_shut,
    )


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
