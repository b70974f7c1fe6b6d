"""A bundle of rules, as it arrives: a folder of documents with a version, their checksums, and a signature over these.

The checksums are those of `sha256sum *.toml > SHA256SUMS`, the signature is made by `ssh-keygen -Y sign -n
holdstill-rules -f KEY SHA256SUMS`. Everything is read once, and what was checked is what gets installed.
"""

from __future__ import annotations

import hashlib
import re
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date
from pathlib import Path
from typing import Self

from kiosk.catalogue.documents import BUNDLE
from kiosk.errors import BundleRefused, os_reason
from kiosk.system.ssh_signature import signer_of
from kiosk.system.toml_file import read_table

SUMS, SIGNATURE, NAMESPACE = "SHA256SUMS", "SHA256SUMS.sig", "holdstill-rules"

MOST_BYTES, MOST_FILES = 1_000_000, 2000
"""The largest file, and the most files, of a bundle: ten times the largest shipped, and twenty times their number."""

_LINE = re.compile(r"([0-9a-f]{64}) [ *]([a-z0-9]+(?:-[a-z0-9]+)*\.toml)")
_VERSION = re.compile(r"(\d{4}-\d{2}-\d{2})(?:\.([1-9]\d{0,3}))?")


@dataclass(frozen=True, slots=True, order=True)
class RulesVersion:
    """The version of a bundle: a day, and a number among those of that day."""

    day: date
    number: int = 1

    @classmethod
    def parse(cls, text: str) -> Self | None:
        """Return the version that a text names, such as `2026-12-01` or `2026-12-01.2`, or None."""
        found = _VERSION.fullmatch(text)
        try:
            return cls(date.fromisoformat(found[1]), int(found[2] or 1)) if found else None
        except ValueError:
            return None

    def __str__(self) -> str:
        """Return the version as `parse` reads it."""
        return f"{self.day}" if self.number == 1 else f"{self.day}.{self.number}"


@dataclass(frozen=True, slots=True)
class Bundle:
    """A bundle whose signature and checksums are right; its rules are not checked yet."""

    version: RulesVersion
    files: Mapping[str, bytes]
    signer: str


def read_bundle(folder: Path, signers: Path) -> Bundle:
    """Read a bundle, and check that one of the signers has signed exactly these files.

    Raises
    ------
    BundleRefused
        A file is missing, too large, too many, altered or not on the list, or nobody allowed has signed the list.
    """
    listed, signature = _content(folder / SUMS), _content(folder / SIGNATURE)
    try:
        signer = signer_of(listed, signature, signers, NAMESPACE)
    except ValueError as error:
        raise BundleRefused(detail=f"{folder / SUMS}: {error}") from error
    sums = _sums(folder, listed)
    files = {name: _content(folder / name) for name in sums}
    for name, content in files.items():
        if hashlib.sha256(content).hexdigest() != sums[name]:
            raise BundleRefused(detail=f"{folder / name} is not the file that {signer} has signed")
    unlisted = sorted(path.name for path in folder.glob("*.toml") if path.name not in sums)
    if unlisted:
        raise BundleRefused(detail=f"{folder / unlisted[0]} is not among the files that {signer} has signed")
    return Bundle(version_of(folder), files, signer)


def version_of(folder: Path) -> RulesVersion:
    """Return the version of a whole folder of rules.

    Raises
    ------
    RulesRefused
        The file with the version cannot be read.
    BundleRefused
        It names no version.
    """
    table = read_table(folder / BUNDLE)
    version = RulesVersion.parse(str(table.get("version")))
    if version is None or set(table) != {"version"}:
        raise BundleRefused(detail=f'{folder / BUNDLE} needs one line like version = "2026-12-01"')
    return version


def _sums(folder: Path, listed: bytes) -> dict[str, str]:
    lines = listed.decode("ascii", errors="replace").splitlines()
    found = [_LINE.fullmatch(line) for line in lines]
    sums = {match[2]: match[1] for match in found if match}
    if len(sums) != len(lines) or len(sums) > MOST_FILES or BUNDLE not in sums:
        detail = f"{folder / SUMS} is not the list of at most {MOST_FILES} documents and {BUNDLE}"
        raise BundleRefused(detail=detail)
    return sums


def _content(path: Path) -> bytes:
    try:
        if not path.is_file() or path.stat().st_size > MOST_BYTES:
            raise BundleRefused(detail=f"{path} is missing, or no file of at most {MOST_BYTES:,} bytes")
        return path.read_bytes()
    except OSError as error:
        raise BundleRefused(detail=f"{path}: {os_reason(error)}") from error
