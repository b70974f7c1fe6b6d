"""The installed bundles of rules: a folder per version, and a link to the one in force.

A bundle is written under a hidden name, brought to the disk, checked and renamed, and only then does the link change,
in one step. A kill or a power cut at any point leaves the rules before or the rules after. The newer of the linked
bundle and the program's own rules is in force, so that an update of the program is never held back by an old bundle.
"""

from __future__ import annotations

import contextlib
import fcntl
import os
import shutil
import tempfile
from collections.abc import Callable, Iterator
from pathlib import Path

from kiosk.catalogue.bundle import Bundle, RulesVersion, version_of
from kiosk.catalogue.documents import shipped_folder
from kiosk.errors import BundleRefused, CannotWrite, os_reason
from kiosk.system.atomic_files import sync_folder, write_whole

CURRENT = "current"
KEPT = 3
"""How many versions stay: the one in force, and two to go back to."""

_HIDDEN = "."


def in_force(folder: Path) -> Path:
    """Return the folder of the rules in force.

    Raises
    ------
    BundleRefused
        The link leads nowhere: its bundle was removed by hand.
    """
    version, shipped = linked(folder), shipped_folder()
    if version is None or version < version_of(shipped):
        return shipped
    bundle = folder / str(version)
    if not bundle.is_dir():
        raise BundleRefused(detail=f"{folder / CURRENT} leads to {bundle}, which is gone; roll back")
    return bundle


def linked(folder: Path) -> RulesVersion | None:
    """Return the version that the link names, or None where no bundle is installed."""
    try:
        version = RulesVersion.parse(str((folder / CURRENT).readlink()))
    except FileNotFoundError:
        return None
    except OSError as error:
        raise BundleRefused(detail=f"{folder / CURRENT} is no link: {os_reason(error)}") from error
    if version is None:
        raise BundleRefused(detail=f"{folder / CURRENT} names no version; remove it")
    return version


def versions(folder: Path) -> tuple[RulesVersion, ...]:
    """Return the installed versions, the oldest first."""
    named = (RulesVersion.parse(path.name) for path in folder.glob("*") if path.is_dir() and not path.is_symlink())
    return tuple(sorted(version for version in named if version is not None))


def install(folder: Path, bundle: Bundle, check: Callable[[Path], None]) -> None:
    """Install a bundle, and put it in force.

    Parameters
    ----------
    folder
        The folder of the installed bundles, which is created.
    bundle
        The bundle, its signature checked.
    check
        Raises a `KioskError` where the rules in the given folder are not fit for this booth.

    Raises
    ------
    BundleRefused
        It is older than the rules in force, or the same version with other content is installed.
    CannotWrite
        The folder cannot be written; the rules in force are unchanged.
    """
    with _writing(folder):
        newest = max(filter(None, (linked(folder), version_of(shipped_folder()))))
        if bundle.version < newest:
            raise BundleRefused(detail=f"version {bundle.version} is older than {newest}, which is in force")
        target = folder / str(bundle.version)
        if target.exists():
            _compare(target, bundle)
            check(target)
        else:
            _write(target, bundle, check)
        _link(folder, bundle.version)
        for version in versions(folder)[:-KEPT]:
            _remove(folder / str(version))


def roll_back(folder: Path) -> None:
    """Put the next older installed version in force or, where there is none, the program's own rules.

    Raises
    ------
    BundleRefused
        No bundle is in force.
    CannotWrite
        The link cannot be changed.
    """
    with _writing(folder):
        now = linked(folder)
        if now is None:
            raise BundleRefused(detail="they are the program's own, and no bundle to go back from is installed")
        older = [version for version in versions(folder) if version < now]
        if older:
            _link(folder, older[-1])
        else:
            (folder / CURRENT).unlink()
            sync_folder(folder)


@contextlib.contextmanager
def _writing(folder: Path) -> Iterator[None]:
    """Hold the folder against a second installation, without what an interrupted one has left."""
    try:
        if not folder.is_dir():
            folder.mkdir(parents=True)
            folder.chmod(0o755)
        descriptor = os.open(folder, os.O_RDONLY | os.O_DIRECTORY | os.O_CLOEXEC)
        try:
            fcntl.flock(descriptor, fcntl.LOCK_EX | fcntl.LOCK_NB)
            for left in folder.glob(f"{_HIDDEN}*"):
                left.unlink() if left.is_symlink() else shutil.rmtree(left)
            yield
        finally:
            os.close(descriptor)
    except BlockingIOError:
        raise BundleRefused(detail=f"another command is changing {folder}") from None
    except OSError as error:
        raise CannotWrite(path=folder, detail=os_reason(error)) from error


def _write(target: Path, bundle: Bundle, check: Callable[[Path], None]) -> None:
    """Write a bundle under a hidden name, and give it its own once it is checked and on the disk."""
    written = Path(tempfile.mkdtemp(prefix=f"{_HIDDEN}{target.name}.", dir=target.parent))
    try:
        for name, content in bundle.files.items():
            write_whole(written / name, content)
            (written / name).chmod(0o644)
        check(written)
        written.chmod(0o755)
        written.rename(target)
    except BaseException:
        shutil.rmtree(written, ignore_errors=True)
        raise
    sync_folder(target.parent)


def _link(folder: Path, version: RulesVersion) -> None:
    """Let the link name a version, in one step."""
    new = folder / f"{_HIDDEN}{CURRENT}"
    new.symlink_to(str(version))
    new.replace(folder / CURRENT)
    sync_folder(folder)


def _remove(bundle: Path) -> None:
    """Remove a version; what an interruption leaves has a hidden name and goes next time."""
    hidden = bundle.with_name(f"{_HIDDEN}{bundle.name}.old")
    bundle.rename(hidden)
    shutil.rmtree(hidden)


def _compare(installed: Path, bundle: Bundle) -> None:
    """Refuse a bundle that differs from the installed one of the same version."""
    there = {path.name: path.read_bytes() for path in installed.iterdir()}
    if there != bundle.files:
        raise BundleRefused(detail=f"version {bundle.version} is installed with other content; it needs a new version")
