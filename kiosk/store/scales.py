"""The proofs of scale of a booth's printers: one small file for each printer, medium and quality."""

from __future__ import annotations

import hashlib
from pathlib import Path

from pydantic import TypeAdapter, ValidationError

from kiosk.core.scale import Proof
from kiosk.errors import CannotWrite
from kiosk.files import write_whole

_PROOF = TypeAdapter(Proof)


class Scales:
    """Proofs in a folder; a damaged file counts as none, so that the page is measured again.

    Parameters
    ----------
    folder
        Made when the first proof comes.
    """

    def __init__(self, folder: Path) -> None:
        self._folder = folder

    def get(self, printer: str, medium: str, quality: str) -> Proof | None:
        """Return the latest proof, or None where there is none."""
        try:
            return _PROOF.validate_json(self._path(printer, medium, quality).read_bytes())
        except (OSError, ValidationError):
            return None

    def put(self, printer: str, medium: str, quality: str, proof: Proof) -> None:
        """Keep a proof in place of the one before.

        Raises
        ------
        CannotWrite
            The one before still stands.
        """
        path = self._path(printer, medium, quality)
        try:
            self._folder.mkdir(parents=True, exist_ok=True)
            write_whole(path, _PROOF.dump_json(proof, indent=2) + b"\n")
        except OSError as error:
            raise CannotWrite(path=path, detail=(error.strerror or "it cannot be written").lower()) from error

    def _path(self, printer: str, medium: str, quality: str) -> Path:
        """Return a file name for people, made unique by a digest of the exact names."""
        names = (printer, medium, quality)
        words = "-".join("".join(c if c.isalnum() and c.isascii() else "_" for c in name)[:40] for name in names)
        digest = hashlib.sha256("\0".join(names).encode()).hexdigest()[:8]
        return self._folder / f"{words}-{digest}.json"
