"""USB sticks that the machine mounts by itself, and the one file that is written to one of them."""

from __future__ import annotations

import errno
import re
from collections.abc import Mapping
from fnmatch import fnmatchcase
from pathlib import Path

from kiosk.core.view.handover import FileFault
from kiosk.system.atomic_files import SHARED, write_whole

MOUNTS = Path("/proc/self/mountinfo")

_FAULTS: Mapping[int, FileFault] = {
    errno.ENOSPC: "full",
    errno.EDQUOT: "full",
    errno.EFBIG: "full",
    errno.EROFS: "read_only",
    errno.EACCES: "read_only",
    errno.EPERM: "read_only",
    errno.EIO: "pulled",
    errno.ENODEV: "pulled",
    errno.ENXIO: "pulled",
    errno.ENOENT: "pulled",
    errno.ESTALE: "pulled",
}
"""What the reasons of a write that fails mean for somebody with a stick in the hand (errno(3))."""


def mounted(pattern: str, mounts: Path = MOUNTS) -> dict[tuple[str, str], Path]:
    """Return the file systems whose mount point matches, by the ids of mount and device (proc(5), mountinfo).

    A stick that is plugged in again is a new mount, even at the same place.
    """
    found = {}
    for line in mounts.read_text().splitlines():
        mount, _, device, _, place, *_ = line.split(" ")
        path = re.sub(r"\\([0-7]{3})", lambda code: chr(int(code[1], 8)), place)
        if fnmatchcase(path, pattern):
            found[mount, device] = Path(path.encode("latin-1", "surrogateescape").decode("utf-8", "surrogateescape"))
    return found


def write_to(folder: Path, name: str, content: bytes) -> FileFault | None:
    """Write the file onto a stick under a name that is free, and return why that failed, or None.

    What is on the stick stays as it is. When this returns, the file is on the stick and not only on its way to it.
    """
    path, number = folder / f"{name}.jpg", 1
    try:
        while path.exists():
            number += 1
            path = folder / f"{name}-{number}.jpg"
        write_whole(path, content, SHARED)
    except OSError as error:
        return _FAULTS.get(error.errno or 0, "unwritable")
    return None
