"""Check the machine: room on its disks, its calendar, and the file system of the sitter's files."""

from __future__ import annotations

import shutil
from collections.abc import Iterable, Iterator
from datetime import UTC, date, datetime
from pathlib import Path

from kiosk.core.document.document import Document
from kiosk.core.view.finding import Finding
from kiosk.settings import Settings

LEAST_MIB, GOOD_MIB = 64, 1024
"""The free space below which the booth closes, and below which it warns. A still, a sheet at 600 dpi and the print
server's copy of it are some 60 MiB; the gibibyte is this project's own choice."""

MOUNTS = Path("/proc/self/mountinfo")
IN_MEMORY = ("tmpfs", "ramfs")
_MIB = 2**20


def machine_findings(
    settings: Settings, documents: Iterable[Document], today: date, mounts: Path = MOUNTS
) -> Iterator[Finding]:
    """Yield the findings on disks, calendar and session folder.

    Parameters
    ----------
    settings
        The booth's settings.
    documents
        The documents on offer; a calendar earlier than the day on which their rules were read must be wrong.
    today
        The booth's calendar day.
    mounts
        The kernel's mount table: proc(5), mountinfo.
    """
    session = settings.path(settings.booth.session_folder)
    folders = {
        "booth.session_folder": session,
        "booth.state_folder": settings.path(settings.booth.state_folder),
        "logs.folder": settings.path(settings.logs.folder) if settings.logs.folder else session,
    }
    devices: set[int] = set()
    for key, folder in folders.items():
        existing = _nearest_existing(folder)
        if existing.stat().st_dev not in devices:
            devices.add(existing.stat().st_dev)
            yield _room(key, folder, shutil.disk_usage(existing).free // _MIB)
    yield _calendar(settings.file, documents, today)
    yield _in_memory(session, mounts)


def _nearest_existing(folder: Path) -> Path:
    """Return the folder, or its nearest ancestor that exists."""
    return next(path for path in (folder, *folder.parents) if path.exists())


def _room(key: str, folder: Path, free_mib: int) -> Finding:
    return Finding(
        "disk_room",
        free_mib,
        "MiB",
        free_mib >= GOOD_MIB,
        f"{free_mib} MiB are free for {folder} ({key}); {GOOD_MIB} are enough, and below {LEAST_MIB} the booth closes.",
        "Delete what is no longer needed there, starting with old sheets and logs.",
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
        f"The calendar says {today.isoformat()}; rules and settings date from {known.isoformat()}.",
        "Set the machine's clock; if it is wrong again after a night without power, have its battery replaced.",
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
        f"The sitter's files are in {session} (booth.session_folder), on {kind}.",
        "Set booth.session_folder to a folder under /run, which is in memory: a disk may keep what was overwritten.",
        "machine",
    )


def file_system(folder: Path, mounts: Path = MOUNTS) -> str:
    """Return the type of the file system that holds a folder, such as `tmpfs`, or `unknown`."""
    found = "unknown"
    longest = -1
    for line in mounts.read_text(encoding="utf-8").splitlines():
        before, _, after = line.partition(" - ")
        point = Path(before.split(" ")[4].encode().decode("unicode_escape"))
        if folder.resolve().is_relative_to(point) and len(point.parts) >= longest:
            found, longest = after.split(" ")[0], len(point.parts)
    return found
