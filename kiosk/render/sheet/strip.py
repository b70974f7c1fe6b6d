"""What the notes beside the photos of a sheet say."""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import date

from kiosk.render.sheet.doubt import not_certain


@dataclass(frozen=True, slots=True)
class SheetStrip:
    """The content of the notes on a sheet; it says nothing about the sitter.

    Attributes
    ----------
    documents
        The ids of the documents on the sheet.
    printed_on
        The day.
    simulated
        Whether any device was simulated.
    passed_by_attendant
        Whether an attendant overrode the verdict.
    is_back
        Whether the notes are on the back page.
    not_certain
        The doubtful requirements that the sitter accepted.
    warnings
        Why the sheet should not have been made and was all the same, one warning each.
    captions
        What is written over each block of photos, indexed by `Placement.item`.
    receipts
        The receipt in several forms, each as its lines, the preferred one first; the first with room is drawn.
    """

    documents: tuple[str, ...]
    printed_on: date
    simulated: bool = False
    passed_by_attendant: bool = False
    is_back: bool = False
    not_certain: tuple[str, ...] = ()
    warnings: tuple[str, ...] = ()
    captions: tuple[str, ...] = ()
    receipts: tuple[tuple[str, ...], ...] = ()

    @property
    def alarms(self) -> tuple[str, ...]:
        """The notes that are never left out."""
        return (*(("SIMULATION",) if self.simulated else ()), *self.warnings)

    @property
    def notes(self) -> tuple[str, ...]:
        """The notes in reading order."""
        names = " + ".join(self.documents)
        if self.is_back:
            return f"back of {names}", "turn the sheet over its long edge", "print at 100 %"
        passed = ("passed by attendant",) if self.passed_by_attendant else ()
        doubtful = (not_certain(self.not_certain),) if self.not_certain else ()
        return names, self.printed_on.isoformat(), *passed, *doubtful, "print at 100 %"

    @property
    def separate_notes(self) -> tuple[str, ...]:
        """The notes in smaller pieces, for sheets without room for one row; the doubtful requirements come first."""
        return (*(not_certain((name,)) for name in self.not_certain), *replace(self, not_certain=()).notes)
