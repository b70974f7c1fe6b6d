"""Locks that keep a second booth with the same name or session folder from starting on this machine.

The kernel holds the locks (`flock(2)`) and releases them when the process ends, however it ends.
"""

from __future__ import annotations

import contextlib
import fcntl
import os
import tempfile
from collections.abc import Iterator
from pathlib import Path

from kiosk.errors import BoothTaken, CannotWrite, os_reason

LOCKS = Path("/run/lock")
"""The directory in which Debian keeps lock files of programs (Filesystem Hierarchy Standard 3.0, 3.15 and 5.9)."""


@contextlib.contextmanager
def only_booth(settings_file: Path, name: str, session_folder: Path) -> Iterator[None]:
    """Lock a booth's name, if it has one, and its session folder, which is created if it is missing.

    Raises
    ------
    BoothTaken
        Another booth on this machine holds one of the locks.
    CannotWrite
        The session folder or a lock file cannot be created.
    """
    with contextlib.ExitStack() as held:
        if name and not held.enter_context(_lock(_name_lock(name))):
            detail = f"a booth named {name!r} is already running on this machine"
            raise BoothTaken(path=settings_file, where="booth.name", detail=detail)
        _create(session_folder)
        if not held.enter_context(_lock(session_folder)):
            detail = f"{session_folder} is the session folder of a booth that is already running"
            raise BoothTaken(path=settings_file, where="booth.session_folder", detail=detail)
        yield


@contextlib.contextmanager
def _lock(path: Path) -> Iterator[bool]:
    """Try to lock an existing file or folder, and yield whether it was free."""
    try:
        descriptor = os.open(path, os.O_RDONLY | os.O_CLOEXEC)
    except OSError as error:
        raise CannotWrite(path=path, detail=os_reason(error)) from error
    try:
        try:
            fcntl.flock(descriptor, fcntl.LOCK_EX | fcntl.LOCK_NB)
        except BlockingIOError:
            yield False
        else:
            yield True
    finally:
        os.close(descriptor)


def _name_lock(name: str) -> Path:
    """Return the lock file of a name, created if missing and readable, so that any user can lock it."""
    folder = LOCKS if os.access(LOCKS, os.W_OK) else Path(tempfile.gettempdir())
    path = folder / f"holdstill-{name.replace(' ', '_')}.lock"
    if not path.exists():
        try:
            path.touch(mode=0o644)
        except OSError as error:
            raise CannotWrite(path=path, detail=os_reason(error)) from error
    return path


def _create(folder: Path) -> None:
    try:
        folder.mkdir(parents=True, exist_ok=True, mode=0o700)
    except OSError as error:
        raise CannotWrite(path=folder, detail=os_reason(error)) from error
