"""Write files atomically and durably, find what a power cut has left of a write, and destroy files."""

from __future__ import annotations

import contextlib
import os
import secrets
import stat
from pathlib import Path

PRIVATE = 0o600
"""The mode of a new file that only its owner may read."""
SHARED = 0o666
"""The mode of a new file that those may read whom the umask or the folder's access list lets (POSIX, `open`)."""
_RANDOM_BYTES = 4
_RANDOM_SUFFIX = "[a-z0-9_]" * 2 * _RANDOM_BYTES
"""The glob pattern of the suffix that a temporary file has behind the name of the file to come."""


def write_whole(path: Path, content: bytes, mode: int = PRIVATE) -> None:
    """Write a file atomically: a temporary file beside `path` is synchronised to disk and then renamed.

    An existing file keeps its mode and group; `mode` is for a new one.

    Raises
    ------
    OSError
        The file cannot be written; nothing was left behind, and an existing file is unchanged.
    """
    temporary = path.parent / f".{path.name}.{secrets.token_hex(_RANDOM_BYTES)}"
    descriptor = os.open(temporary, os.O_WRONLY | os.O_CREAT | os.O_EXCL, mode)
    try:
        with os.fdopen(descriptor, "wb") as file:
            _keep_readers(path, file.fileno())
            file.write(content)
            file.flush()
            os.fsync(file.fileno())
        temporary.replace(path)
    except BaseException:
        with contextlib.suppress(FileNotFoundError):
            temporary.unlink()
        raise
    sync_folder(path.parent)


def sync_folder(folder: Path) -> None:
    """Bring the names in a folder to the disk: files created, renamed or removed there survive a power cut.

    Raises
    ------
    OSError
        The folder cannot be opened or synchronised.
    """
    descriptor = os.open(folder, os.O_RDONLY | os.O_DIRECTORY)
    try:
        os.fsync(descriptor)
    finally:
        os.close(descriptor)


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
