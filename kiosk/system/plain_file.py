"""Read whole files that people name: a pipe or a device may never end, and is not opened."""

from __future__ import annotations

import errno
import stat
from pathlib import Path

MOST_BYTES = 16_000_000
"""More than any settings, rules, designs or tables of readings have (this project's own limit)."""


def read_plain(path: Path, most_bytes: int = MOST_BYTES) -> bytes:
    """Return the content of a regular file.

    Raises
    ------
    OSError
        The file is missing, may not be read, has more than `most_bytes`, or is a folder, a device or a pipe.
    """
    about = path.stat()
    if stat.S_ISDIR(about.st_mode):
        raise IsADirectoryError(errno.EISDIR, "it is a folder")
    if not stat.S_ISREG(about.st_mode):
        raise OSError(errno.EINVAL, "it is no file")
    if about.st_size > most_bytes:
        raise OSError(errno.EFBIG, f"it is larger than {most_bytes // 1_000_000} MB")
    return path.read_bytes()
