"""The files of a printer, as it uses them: the state of each sheet, and the proofs of its scale and colour."""

from __future__ import annotations

from contextlib import AbstractContextManager
from typing import Protocol

from kiosk.core.print_colour.proof import ColourPage, ColourProof
from kiosk.core.print_scale.print_journal import Entry
from kiosk.core.print_scale.proof import Proof, RulerPage


class Journal(Protocol):
    """Remembers every sheet, so that none is printed twice (`kiosk.store.printing.job_journal`).

    Every method may raise `CannotWrite`.
    """

    def get(self, key: str) -> Entry | None:
        """Return the state of a sheet, or None if it was never begun."""
        ...

    def put(self, entry: Entry) -> None:
        """Write an entry to the disk."""
        ...

    def turn(self) -> AbstractContextManager[bool]:
        """Try to be the only process with a sheet in flight, and return whether it is."""
        ...


class Proofs(Protocol):
    """Keeps proofs with the pages printed for them; `kiosk.store.printing.scales`. Its errors are `CannotWrite`."""

    def get(self, printer: str, medium: str, quality: str) -> Proof | None:
        """Return the latest proof, or None."""
        ...

    def put(self, printer: str, medium: str, quality: str, proof: Proof) -> None:
        """Keep a proof."""
        ...

    def page(self, printer: str, medium: str, quality: str) -> RulerPage | None:
        """Return the ruler page printed last, or None."""
        ...

    def put_page(self, printer: str, medium: str, quality: str, page: RulerPage) -> None:
        """Keep a printed page."""
        ...

    def colour(self, printer: str, medium: str, quality: str) -> ColourProof | None:
        """Return the latest proof of colour, or None."""
        ...

    def put_colour(self, printer: str, medium: str, quality: str, proof: ColourProof) -> None:
        """Keep a proof of colour."""
        ...

    def colour_page(self, printer: str, medium: str, quality: str) -> ColourPage | None:
        """Return the colour page printed last, or None."""
        ...

    def put_colour_page(self, printer: str, medium: str, quality: str, page: ColourPage) -> None:
        """Keep a printed colour page."""
        ...
