"""The machine under the booth: room on its disks, its calendar, and where the sitter's files lie."""

from __future__ import annotations

import shutil
from collections.abc import Iterable, Iterator
from datetime import UTC, date, datetime
from pathlib import Path

from kiosk.core.document.document import Document
from kiosk.core.view.finding import Finding
from kiosk.settings import Settings

LEAST_MIB, GOOD_MIB = 64, 1024
"""Room below which nothing is taken, and below which one is warned: a still, a sheet at 600 dpi and the print server's
copy of it are some 60 MiB; a gibibyte is this project's own choice."""

MOUNTS = Path("/proc/self/mountinfo")
IN_MEMORY = ("tmpfs", "ramfs")
_MIB = 2**20


def machine_findings(
    settings: Settings, documents: Iterable[Document], today: date, mounts: Path = MOUNTS
) -> Iterator[Finding]:
    """Yield how the disks, the calendar and the session folder stand.

    Parameters
    ----------
    documents
        Those offered; a calendar that is behind the day their rules were read is wrong.
    mounts
        The kernel's table of what is mounted where: proc(5), mountinfo.
    """
    session = settings.path(settings.booth.session_folder)
    folders = {
        "booth.session_folder": session,
        "booth.state_folder": settings.path(settings.booth.state_folder),
        "logs.folder": settings.path(settings.logs.folder) if settings.logs.folder else session,
    }
    seen: set[int] = set()
    for key, folder in folders.items():
        standing = _standing(folder)
        if standing.stat().st_dev not in seen:
            seen.add(standing.stat().st_dev)
            yield _room(key, folder, shutil.disk_usage(standing).free // _MIB)
    yield _calendar(settings.file, documents, today)
    yield _in_memory(session, mounts)


def _standing(folder: Path) -> Path:
    """Return the folder, or the nearest one above it that is there."""
    return next(path for path in (folder, *folder.parents) if path.exists())


def _room(key: str, folder: Path, free_mib: int) -> Finding:
    return Finding(
        "disk_room",
        free_mib,
        "MiB",
        free_mib >= GOOD_MIB,
        f"{free_mib} MiB are free for {folder} ({key}); {GOOD_MIB} are enough, and below {LEAST_MIB} the booth stops.",
        "Delete what is no longer needed there, beginning with old sheets and logs.",
        "machine",
        stops=free_mib < LEAST_MIB,
    )


def _calendar(settings_file: Path, documents: Iterable[Document], today: date) -> Finding:
    written_on = datetime.fromtimestamp(settings_file.stat().st_mtime, UTC).astimezone().date()
    known = max([written_on, *(document.read_on for document in documents)])
    return Finding(
        "calendar",
        today.isoformat(),
        "",
        today >= known,
        f"The calendar says {today.isoformat()}; rules and settings are of {known.isoformat()}.",
        "Set the machine's clock; if it is wrong again after a night without power, have its battery changed.",
        "machine",
        stops=today < known,
    )


def _in_memory(session: Path, mounts: Path) -> Finding:
    kind = file_system(session, mounts)
    return Finding(
        "session_folder",
        kind,
        "",
        kind in IN_MEMORY,
        f"The sitter's files lie in {session} (booth.session_folder), on {kind}.",
        "Give booth.session_folder a folder under /run, which is in memory: a disk may keep what was overwritten.",
        "machine",
    )


def file_system(folder: Path, mounts: Path = MOUNTS) -> str:
    """Return the type of the file system that holds a folder, such as `tmpfs`; `unknown` where it cannot be told."""
    found = "unknown"
    longest = -1
    for line in mounts.read_text(encoding="utf-8").splitlines():
        before, _, after = line.partition(" - ")
        point = Path(before.split(" ")[4].encode().decode("unicode_escape"))
        if folder.resolve().is_relative_to(point) and len(point.parts) >= longest:
            found, longest = after.split(" ")[0], len(point.parts)
    return found
