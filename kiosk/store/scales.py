"""The proofs of scale of a booth's printers: small files for each printer, medium and quality."""

from __future__ import annotations

import hashlib
from pathlib import Path
from typing import TypeVar

from pydantic import TypeAdapter, ValidationError

from kiosk.core.proof import Proof, RulerPage
from kiosk.errors import CannotWrite
from kiosk.files import write_whole

_PROOF = TypeAdapter(Proof)
_PAGE = TypeAdapter(RulerPage)
Kept = TypeVar("Kept")


class Scales:
    """Proofs and printed ruler pages in a folder; a damaged file counts as none, so that a page is measured again.

    Parameters
    ----------
    folder
        Made when the first page is printed.
    """

    def __init__(self, folder: Path) -> None:
        self._folder = folder

    def get(self, printer: str, medium: str, quality: str) -> Proof | None:
        """Return the latest proof, or None where there is none."""
        return _read(_PROOF, self._path("proof", printer, medium, quality))

    def put(self, printer: str, medium: str, quality: str, proof: Proof) -> None:
        """Keep a proof in place of the one before.

        Raises
        ------
        CannotWrite
            The one before still stands.
        """
        self._write(_PROOF, self._path("proof", printer, medium, quality), proof)

    def page(self, printer: str, medium: str, quality: str) -> RulerPage | None:
        """Return the ruler page printed last, or None where there is none."""
        return _read(_PAGE, self._path("page", printer, medium, quality))

    def put_page(self, printer: str, medium: str, quality: str, page: RulerPage) -> None:
        """Keep a printed page in place of the one before; errors as `put`."""
        self._write(_PAGE, self._path("page", printer, medium, quality), page)

    def _write(self, kind: TypeAdapter[Kept], path: Path, kept: Kept) -> None:
        try:
            self._folder.mkdir(parents=True, exist_ok=True)
            write_whole(path, kind.dump_json(kept, indent=2) + b"\n")
        except OSError as error:
            raise CannotWrite(path=path, detail=(error.strerror or "it cannot be written").lower()) from error

    def _path(self, kind: str, *names: str) -> Path:
        """Return a file name for people, made unique by a digest of the exact names."""
        words = "-".join("".join(c if c.isalnum() and c.isascii() else "_" for c in name)[:40] for name in names)
        digest = hashlib.sha256("\0".join(names).encode()).hexdigest()[:8]
        return self._folder / f"{words}-{digest}.{kind}.json"


def _read(kind: TypeAdapter[Kept], path: Path) -> Kept | None:
    try:
        return kind.validate_json(path.read_bytes())
    except (OSError, ValidationError):
        return None
