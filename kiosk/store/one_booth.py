"""One booth a name and a session folder: a second one on the machine is refused before it touches anything.

The kernel holds the lock (`flock(2)`) and lets go of it when the process ends, however it ends.
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
"""Where Debian keeps locks of programs (Filesystem Hierarchy Standard 3.0, 3.15 and 5.9)."""


@contextlib.contextmanager
def only_booth(settings_file: Path, name: str, session_folder: Path) -> Iterator[None]:
    """Hold a booth's name, where it has one, and its session folder, which is made where it is missing.

    Raises
    ------
    BoothTaken
        Another booth on this machine holds one of them.
    CannotWrite
        The session folder or the lock cannot be made.
    """
    with contextlib.ExitStack() as held:
        if name and not held.enter_context(_lock(_name_lock(name))):
            detail = f"a booth named {name!r} is already running on this machine"
            raise BoothTaken(path=settings_file, where="booth.name", detail=detail)
        _make(session_folder)
        if not held.enter_context(_lock(session_folder)):
            detail = f"{session_folder} is the session folder of a booth that is already running"
            raise BoothTaken(path=settings_file, where="booth.session_folder", detail=detail)
        yield


@contextlib.contextmanager
def _lock(path: Path) -> Iterator[bool]:
    """Lock a file or folder that is there; tell whether it was free."""
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
    """Return the lock file of a name, made where it is missing, so that any user may lock it."""
    folder = LOCKS if os.access(LOCKS, os.W_OK) else Path(tempfile.gettempdir())
    path = folder / f"holdstill-{name.replace(' ', '_')}.lock"
    if not path.exists():
        try:
            path.touch(mode=0o644)
        except OSError as error:
            raise CannotWrite(path=path, detail=os_reason(error)) from error
    return path


def _make(folder: Path) -> None:
    try:
        folder.mkdir(parents=True, exist_ok=True, mode=0o700)
    except OSError as error:
        raise CannotWrite(path=folder, detail=os_reason(error)) from error
