"""The paper in the printer, by the attendant's count, and whether the attendant has shut the booth."""

from __future__ import annotations

from collections.abc import Iterator

from kiosk.core.attendant.state import NO_PAPER, SHUT
from kiosk.core.view.finding import Finding
from kiosk.settings import Settings
from kiosk.settings.printing import FolderPrintSettings
from kiosk.store.desk_memory import DeskMemory


def desk_findings(settings: Settings) -> Iterator[Finding]:
    """Yield what the attendant's desk remembers: the sheets left, and whether the booth was put out of order."""
    kept = DeskMemory(settings.path(settings.booth.state_folder) / "desk.json").get()
    if kept.sheets is not None:
        yield _left(kept.sheets, settings.attendant.few_sheets)
    elif not isinstance(settings.printer, FolderPrintSettings):
        sentence = "Nobody has said how many sheets are in the printer, so that their end is not foreseen."
        yield Finding("sheets_left", "unknown", "", False, sentence, NO_PAPER[1], "paper")
    if kept.is_shut:
        yield Finding("out_of_order", "attendant", "", False, *SHUT, "site", stops=True)


def _left(sheets: int, few: int) -> Finding:
    sentence = f"{sheets} sheets are left by the count; from {few} on they are few."
    return Finding("sheets_left", sheets, "count", sheets > few, sentence, NO_PAPER[1], "paper", stops=sheets == 0)
