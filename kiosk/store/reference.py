"""The reference of the empty backdrop, a grid of colours rather than a picture, in the booth's state folder."""

from __future__ import annotations

from pathlib import Path

from pydantic import TypeAdapter, ValidationError

from kiosk.core.camera_setup.backdrop import Backdrop
from kiosk.errors import CannotWrite, os_reason
from kiosk.system.atomic_files import write_whole

NAME = "backdrop.json"

_BACKDROP = TypeAdapter(Backdrop)


def read_reference(state_folder: Path) -> Backdrop | None:
    """Return the reference, or None if it is missing or damaged and has to be taken again."""
    try:
        return _BACKDROP.validate_json((state_folder / NAME).read_bytes())
    except (OSError, ValidationError):
        return None


def write_reference(state_folder: Path, backdrop: Backdrop) -> None:
    """Replace the stored reference.

    Raises
    ------
    CannotWrite
        The reference cannot be written; the previous one remains.
    """
    path = state_folder / NAME
    try:
        state_folder.mkdir(parents=True, exist_ok=True)
        write_whole(path, _BACKDROP.dump_json(backdrop) + b"\n")
    except OSError as error:
        raise CannotWrite(path=path, detail=os_reason(error)) from error
