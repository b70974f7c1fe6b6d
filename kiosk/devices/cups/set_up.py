"""What a sheet would be printed with now: driver, medium, options and defaults, and the fingerprint of it all."""

from __future__ import annotations

import functools
from collections.abc import Mapping
from dataclasses import dataclass, field

from kiosk.core.base.geometry import Size
from kiosk.core.sheet.imposition import Margins, Medium
from kiosk.core.sheet.media import medium
from kiosk.devices.cups.colours import QueueColours
from kiosk.devices.cups.connection import Queue
from kiosk.devices.cups.job import Patience
from kiosk.devices.cups.media import QueueDriver, QueueMedium, choose_medium
from kiosk.devices.cups.options import set_up_of
from kiosk.devices.cups.profile import PrinterProfile, printer_profile_of, shipped_printers
from kiosk.errors import PrinterFault

LIMIT_S = 300.0
"""The longest that a sheet may take; a photo printer takes 10 to 60 s (practice of the trade)."""
_REACH_MM = 0.05


@dataclass(frozen=True, slots=True)
class Printing:
    """How a booth prints.

    Attributes
    ----------
    medium, margins, borderless
        The paper, what is left free on it, and whether its variant without borders is wanted.
    options
        The driver's options.
    colours
        The ICC profile of the queue with its paper; None leaves the colours to the driver.
    needs_colour_proof
        Whether no documents are printed without a proof of colour.
    """

    medium: Medium
    margins: Margins
    borderless: bool = False
    options: Mapping[str, str] = field(default_factory=dict)
    patience: Patience = field(default_factory=lambda: Patience(LIMIT_S))
    colours: QueueColours | None = None
    needs_colour_proof: bool = False


@dataclass(frozen=True, slots=True)
class SetUp:
    """What a sheet would be printed with now.

    Attributes
    ----------
    sheet_mm
        What the settings name as the paper, upright; smaller than the medium where the printer prints over the paper's
        edges, which then lies in the medium's middle.
    paper_mm
        The paper itself, where the settings name the driver's page over its edges and the family's profile knows it.
    margins
        What of the sheet is out of the printer's reach.
    digest
        The fingerprint of it all.
    """

    driver: QueueDriver
    medium: QueueMedium
    sheet_mm: Size
    paper_mm: Size
    margins: Margins
    digest: str

    @property
    def is_borderless(self) -> bool:
        """Whether the whole paper is within reach."""
        margins = _on_paper(self.medium, self.paper_mm)
        return max(margins.left_mm, margins.top_mm, margins.right_mm, margins.bottom_mm) == 0.0

    def from_edge_mm(self, laid_out: Margins) -> float:
        """Return how near to the paper's edge a sheet with margins comes; less than 0 beyond it."""
        across_mm = (self.sheet_mm.width - self.paper_mm.width) / 2
        down_mm = (self.sheet_mm.height - self.paper_mm.height) / 2
        return min(
            min(laid_out.left_mm, laid_out.right_mm) - across_mm, min(laid_out.top_mm, laid_out.bottom_mm) - down_mm
        )


def read_set_up(queue: Queue, wanted: Printing) -> SetUp:
    """Return driver, medium and options as they are now.

    Raises
    ------
    PrinterFault
        The queue has no such medium, or cannot reach as near to its edges as the sheet is laid out.
    """
    driver = queue.driver()
    size_mm = _upright(wanted.medium.size_mm)
    found = choose_medium(driver.media, size_mm, borderless=wanted.borderless)
    sheet_mm = found.size_mm if found is not None else size_mm
    found = found or _page_over_the_edges(driver, wanted.medium)
    if found is None:
        detail = f"it has no paper of {size_mm.width:.1f} x {size_mm.height:.1f} mm"
        raise PrinterFault(printer=queue.name, detail=detail)
    margins = _on_paper(found, sheet_mm)
    for side in ("left", "top", "right", "bottom"):
        needed_mm, set_mm = (getattr(each, f"{side}_mm") for each in (margins, wanted.margins))
        if set_mm < needed_mm - _REACH_MM:
            detail = f"it leaves {needed_mm:.1f} mm free on the {side} and the sheet is laid out for {set_mm:.1f} mm"
            raise PrinterFault(printer=queue.name, detail=detail)
    paper_mm = _paper_under(driver, found) or sheet_mm
    return SetUp(driver, found, sheet_mm, paper_mm, margins, set_up_of(driver, found, wanted.options, queue.defaults()))


def _page_over_the_edges(driver: QueueDriver, paper: Medium) -> QueueMedium | None:
    """Return the page that the driver has for a paper over whose edges it prints, None where none is known.

    A dye-sublimation printer asks for some 105 x 156 mm where 4 x 6 in are in it, so that no page has the paper's size;
    what its driver calls the page is in the profile of its family.
    """
    profile = printer_profile_of(driver.name, _known_printers())
    page = profile.page_for(paper.name) if profile is not None else None
    return next((each for each in driver.media if page is not None and each.keyword == page.keyword), None)


def _paper_under(driver: QueueDriver, page: QueueMedium) -> Size | None:
    """Return the paper under a page of the driver, upright, None where the profile of its family does not know it."""
    profile = printer_profile_of(driver.name, _known_printers())
    pages = profile.media if profile is not None else ()
    return next((_upright(medium(each.paper).size_mm) for each in pages if each.keyword == page.keyword), None)


@functools.cache
def _known_printers() -> tuple[PrinterProfile, ...]:
    return shipped_printers()


def _on_paper(page: QueueMedium, sheet_mm: Size) -> Margins:
    """Return what is out of reach on a paper in the middle of a page."""
    across_mm, down_mm = (page.size_mm.width - sheet_mm.width) / 2, (page.size_mm.height - sheet_mm.height) / 2
    sides = page.margins
    return Margins(
        max(0.0, sides.left_mm - across_mm),
        max(0.0, sides.top_mm - down_mm),
        max(0.0, sides.right_mm - across_mm),
        max(0.0, sides.bottom_mm - down_mm),
    )


def _upright(size_mm: Size) -> Size:
    return size_mm if size_mm.width <= size_mm.height else size_mm.turned()
