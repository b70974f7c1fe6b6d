"""The scales of a booth's printers: one small file for each printer, medium and quality."""

from __future__ import annotations

import hashlib
from dataclasses import dataclass, replace
from pathlib import Path

from pydantic import TypeAdapter, ValidationError

from kiosk.core.print_scale.proof import Proof, RulerPage
from kiosk.errors import CannotWrite, os_reason
from kiosk.system.atomic_files import write_whole


@dataclass(frozen=True, slots=True)
class ScaleFile:
    """What is known of one printer with one medium at one quality: the page printed last, and what was measured."""

    printer: str
    medium: str
    quality: str
    page: RulerPage | None = None
    proof: Proof | None = None


_KEPT = TypeAdapter(ScaleFile)


class Scales:
    """Ruler pages and proofs in a folder; a damaged file counts as none, so that a page is measured again.

    Parameters
    ----------
    folder
        Made when the first page is printed.
    """

    def __init__(self, folder: Path) -> None:
        self._folder = folder

    def all(self) -> list[ScaleFile]:
        """Return all that is kept, by the names of the files."""
        found = (_read(path) for path in sorted(self._folder.glob("*.json")))
        return [kept for kept in found if kept is not None]

    def get(self, printer: str, medium: str, quality: str) -> Proof | None:
        """Return the latest proof, or None where there is none."""
        return self._kept(printer, medium, quality).proof

    def put(self, printer: str, medium: str, quality: str, proof: Proof) -> None:
        """Keep a proof in place of the one before.

        Raises
        ------
        CannotWrite
            The one before still stands.
        """
        self._write(replace(self._kept(printer, medium, quality), proof=proof))

    def page(self, printer: str, medium: str, quality: str) -> RulerPage | None:
        """Return the ruler page printed last, or None where there is none."""
        return self._kept(printer, medium, quality).page

    def put_page(self, printer: str, medium: str, quality: str, page: RulerPage) -> None:
        """Keep a printed page in place of the one before; errors as `put`."""
        self._write(replace(self._kept(printer, medium, quality), page=page))

    def _kept(self, printer: str, medium: str, quality: str) -> ScaleFile:
        empty = ScaleFile(printer, medium, quality)
        return _read(self._path(empty)) or empty

    def _write(self, kept: ScaleFile) -> None:
        path = self._path(kept)
        try:
            self._folder.mkdir(parents=True, exist_ok=True)
            write_whole(path, _KEPT.dump_json(kept, indent=2) + b"\n")
        except OSError as error:
            raise CannotWrite(path=path, detail=os_reason(error)) from error

    def _path(self, kept: ScaleFile) -> Path:
        """Return a file name for people, made unique by a digest of the exact names."""
        names = (kept.printer, kept.medium, kept.quality)
        words = "-".join("".join(c if c.isalnum() and c.isascii() else "_" for c in name)[:40] for name in names)
        digest = hashlib.sha256("\0".join(names).encode()).hexdigest()[:8]
        return self._folder / f"{words}-{digest}.json"


def _read(path: Path) -> ScaleFile | None:
    try:
        return _KEPT.validate_json(path.read_bytes())
    except (OSError, ValidationError):
        return None
