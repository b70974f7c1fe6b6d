"""Write files atomically and durably, find what a power cut has left of a write, and destroy files."""

from __future__ import annotations

import contextlib
import os
import stat
import tempfile
from pathlib import Path

_RANDOM_SUFFIX = "[a-z0-9_]" * 8
"""The glob pattern of the suffix that `tempfile.mkstemp` adds to a name."""


def write_whole(path: Path, content: bytes) -> None:
    """Write a file atomically: a temporary file beside `path` is synchronised to disk and then renamed.

    An existing file keeps its mode and group; a new one is readable by its owner only.

    Raises
    ------
    OSError
        The file cannot be written; nothing was left behind, and an existing file is unchanged.
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
    """Return the temporary files that an interrupted `write_whole` has left for files matching a glob pattern.

    A write in progress looks the same, so the caller must be the folder's only writer.
    """
    return sorted(folder.glob(f".{names}.{_RANDOM_SUFFIX}"))


def _keep_readers(path: Path, descriptor: int) -> None:
    """Copy mode and group of the existing file to the new one, as far as this user may."""
    with contextlib.suppress(FileNotFoundError, PermissionError):
        before = path.stat()
        os.fchmod(descriptor, stat.S_IMODE(before.st_mode))
        os.fchown(descriptor, -1, before.st_gid)


def destroy(path: Path) -> None:
    """Overwrite a file with zeros and remove it.

    Raises
    ------
    OSError
        The file could not be destroyed.
    """
    with path.open("r+b") as file:
        file.write(bytes(path.stat().st_size))
        file.flush()
        os.fsync(file.fileno())
    path.unlink()
