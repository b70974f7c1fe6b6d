"""Writing a file so that it is there whole, on the disk, or not at all; what a power cut leaves; destroying a file."""

from __future__ import annotations

import contextlib
import os
import stat
import tempfile
from pathlib import Path

_MADE_UP = "[a-z0-9_]" * 8
"""What `tempfile.mkstemp` puts at the end of a name."""


def write_whole(path: Path, content: bytes) -> None:
    """Write `content` beside `path`, bring it to the disk, and move it into place; who may read it stays as it was.

    A new file is for its owner alone.

    Raises
    ------
    OSError
        Nothing was left behind, and a file that stood there before still does.
    """
    descriptor, temporary = tempfile.mkstemp(prefix=f".{path.name}.", dir=path.parent)
    try:
        with os.fdopen(descriptor, "wb") as file:
            _keep_readers(path, file.fileno())
            file.write(content)
            file.flush()
            os.fsync(file.fileno())
        Path(temporary).replace(path)
    except BaseException:
        with contextlib.suppress(FileNotFoundError):
            Path(temporary).unlink()
        raise
    folder = os.open(path.parent, os.O_RDONLY | os.O_DIRECTORY)
    try:
        os.fsync(folder)
    finally:
        os.close(folder)


def interrupted(folder: Path, names: str) -> list[Path]:
    """Return what a power cut in `write_whole` has left in a folder, of files whose names match a glob pattern.

    A write that goes on now looks the same: ask only where nobody else writes.
    """
    return sorted(folder.glob(f".{names}.{_MADE_UP}"))


def _keep_readers(path: Path, descriptor: int) -> None:
    """Give the new file the mode and the group of the one before, as far as this user may."""
    with contextlib.suppress(FileNotFoundError, PermissionError):
        before = path.stat()
        os.fchmod(descriptor, stat.S_IMODE(before.st_mode))
        os.fchown(descriptor, -1, before.st_gid)


def destroy(path: Path) -> None:
    """Overwrite a file with zeros and remove it.

    Raises
    ------
    OSError
        It is still there.
    """
    with path.open("r+b") as file:
        file.write(bytes(path.stat().st_size))
        file.flush()
        os.fsync(file.fileno())
    path.unlink()
