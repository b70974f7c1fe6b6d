"""Check the attendant's count of sheets, and whether the attendant has closed the booth."""

from __future__ import annotations

from collections.abc import Iterator

from kiosk.core.attendant.state import NO_PAPER, SHUT
from kiosk.core.view.finding import Finding
from kiosk.settings import Settings
from kiosk.settings.printing import CupsSettings
from kiosk.store.desk_memory import DeskMemory


def desk_findings(settings: Settings) -> Iterator[Finding]:
    """Yield the findings on the desk's memory: the sheets left, and whether the booth was put out of order."""
    remembered = DeskMemory(settings.path(settings.booth.state_folder) / "desk.json").get()
    if remembered.sheets is not None:
        yield _sheets_left(remembered.sheets, settings.attendant.few_sheets)
    elif isinstance(settings.printer, CupsSettings):
        sentence = "Nobody has counted the sheets in the printer, so that running out of paper comes without warning."
        yield Finding("sheets_left", "unknown", "", False, sentence, NO_PAPER[1], "paper")
    if remembered.is_shut:
        yield Finding("out_of_order", "attendant", "", False, *SHUT, "site", stops=True)


def _sheets_left(sheets: int, few: int) -> Finding:
    sentence = f"{sheets} sheets are left by the count; paper is low at {few}."
    return Finding("sheets_left", sheets, "count", sheets > few, sentence, NO_PAPER[1], "paper", stops=sheets == 0)
