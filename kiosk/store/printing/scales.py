"""What was measured of a booth's printers, scale and colour: one small file per printer, medium and quality."""

from __future__ import annotations

import hashlib
from dataclasses import dataclass, replace
from pathlib import Path

from pydantic import TypeAdapter, ValidationError

from kiosk.core.print_colour.proof import ColourPage, ColourProof
from kiosk.core.print_scale.proof import Proof, RulerPage
from kiosk.errors import CannotWrite, os_reason
from kiosk.system.atomic_files import write_whole


@dataclass(frozen=True, slots=True)
class ScaleFile:
    """One printer with one medium at one quality: its last pages, and the proofs measured from such."""

    printer: str
    medium: str
    quality: str
    page: RulerPage | None = None
    proof: Proof | None = None
    colour_page: ColourPage | None = None
    colour: ColourProof | None = None


_SCALE_FILE = TypeAdapter(ScaleFile)


class Scales:
    """Pages and proofs in a folder; a damaged file counts as missing, so that a page is measured again.

    Parameters
    ----------
    folder
        Created when the first page is printed.
    """

    def __init__(self, folder: Path) -> None:
        self._folder = folder

    def all(self) -> list[ScaleFile]:
        """Return the content of all files, sorted by file name."""
        found = (_read(path) for path in sorted(self._folder.glob("*.json")))
        return [scale_file for scale_file in found if scale_file is not None]

    def get(self, printer: str, medium: str, quality: str) -> Proof | None:
        """Return the latest proof, or None."""
        return self._stored(printer, medium, quality).proof

    def put(self, printer: str, medium: str, quality: str, proof: Proof) -> None:
        """Replace the stored proof.

        Raises
        ------
        CannotWrite
            The proof cannot be written; the previous one remains.
        """
        self._write(replace(self._stored(printer, medium, quality), proof=proof))

    def page(self, printer: str, medium: str, quality: str) -> RulerPage | None:
        """Return the ruler page printed last, or None."""
        return self._stored(printer, medium, quality).page

    def put_page(self, printer: str, medium: str, quality: str, page: RulerPage) -> None:
        """Replace the stored ruler page.

        Raises
        ------
        CannotWrite
            The page cannot be written; the previous one remains.
        """
        self._write(replace(self._stored(printer, medium, quality), page=page))

    def colour(self, printer: str, medium: str, quality: str) -> ColourProof | None:
        """Return the latest proof of colour, or None."""
        return self._stored(printer, medium, quality).colour

    def put_colour(self, printer: str, medium: str, quality: str, proof: ColourProof) -> None:
        """Replace the stored proof of colour.

        Raises
        ------
        CannotWrite
            The proof cannot be written; the previous one remains.
        """
        self._write(replace(self._stored(printer, medium, quality), colour=proof))

    def colour_page(self, printer: str, medium: str, quality: str) -> ColourPage | None:
        """Return the colour page printed last, or None."""
        return self._stored(printer, medium, quality).colour_page

    def put_colour_page(self, printer: str, medium: str, quality: str, page: ColourPage) -> None:
        """Replace the stored colour page.

        Raises
        ------
        CannotWrite
            The page cannot be written; the previous one remains.
        """
        self._write(replace(self._stored(printer, medium, quality), colour_page=page))

    def _stored(self, printer: str, medium: str, quality: str) -> ScaleFile:
        empty = ScaleFile(printer, medium, quality)
        return _read(self._path(empty)) or empty

    def _write(self, scale_file: ScaleFile) -> None:
        path = self._path(scale_file)
        try:
            self._folder.mkdir(parents=True, exist_ok=True)
            write_whole(path, _SCALE_FILE.dump_json(scale_file, indent=2) + b"\n")
        except OSError as error:
            raise CannotWrite(path=path, detail=os_reason(error)) from error

    def _path(self, scale_file: ScaleFile) -> Path:
        """Return a readable file name, made unique by a digest of the exact names."""
        names = (scale_file.printer, scale_file.medium, scale_file.quality)
        words = "-".join("".join(c if c.isalnum() and c.isascii() else "_" for c in name)[:40] for name in names)
        digest = hashlib.sha256("\0".join(names).encode()).hexdigest()[:8]
        return self._folder / f"{words}-{digest}.json"


def _read(path: Path) -> ScaleFile | None:
    try:
        return _SCALE_FILE.validate_json(path.read_bytes())
    except (OSError, ValidationError):
        return None
