"""The sheet that a sitter chooses and has printed, as the screens show it."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from kiosk.core.base.geometry import Rect, Size
from kiosk.core.view.choice import PaperOffer, Price

TrayPlace = Literal["below", "left", "right", "outside", "counter"]
"""Where a printed sheet comes out, as the sitter sees it: beside the screen, outside the booth, or at the counter."""


@dataclass(frozen=True, slots=True)
class SheetPhoto:
    """One photo on the sheet, in millimetres from its upper left corner; a turned one's top points to the right."""

    rect_mm: Rect
    turned: bool


@dataclass(frozen=True, slots=True)
class SheetView:
    """The sheet that is chosen and printed.

    Attributes
    ----------
    kept_minutes
        How long the sheet can be printed again; 0 if it is not kept.
    copies, paper
        The number of photos on the sheet, and the paper's short name.
    print_state
        waiting, printing, held or done; before a sheet is paid for, failed if the printer could not print it now; for a
        kept photo failed, unknown (the sheet may have come out), or ready if the printer could print again.
    photo_minutes
        How much longer an accepted photo is kept that the printer has failed to print; 0 before.
    placements, paper_mm
        Where the photos lie on the sheet as it will be printed, and the size of the paper; on the copies screen only.
    papers, sheets_offered
        The choices on the copies screen.
    takes_s, tray
        How long the printer takes for all sheets, in seconds, and where they come out; None where nobody has said so.
    sheets, total
        The chosen number of sheets, and their price if prices are shown.
    """

    kept_minutes: int = 0
    copies: int = 0
    paper: str = ""
    print_state: str = "waiting"
    photo_minutes: int = 0
    placements: tuple[SheetPhoto, ...] = ()
    paper_mm: Size | None = None
    papers: tuple[PaperOffer, ...] = ()
    sheets_offered: tuple[int, ...] = (1,)
    takes_s: int | None = None
    tray: TrayPlace | None = None
    sheets: int = 1
    total: Price | None = None
