"""What is known of each family of printers, as data: `hardware/printers/*.toml`.

A dye-sublimation printer prints beyond its paper, so its driver calls 4 x 6 in a page of some 105 x 156 mm. Such a page
is written into the settings as it is, with margins that keep everything on the paper that is left.
"""

from __future__ import annotations

import math
import re
from collections.abc import Sequence
from dataclasses import dataclass, field
from pathlib import Path
from typing import Annotated

from annotated_types import Gt, MinLen

from kiosk.core.base.geometry import Size
from kiosk.core.sheet.media import medium
from kiosk.devices.cups.media import SIZE_TOLERANCE_MM
from kiosk.devices.profile_file import (
    STRICT,
    Quirk,
    longest_match,
    read_shipped,
    require_sources,
    shipped_folder,
)
from kiosk.errors import UnknownPaper

KEEP_OFF_MM = 3.0
"""What is kept off the paper's edge beyond what is known to be lost; the booth's own default (`paper.margins_mm`)."""

_SOURCED = ("matches", "media", "borderless", "options", "seconds")
"""The tables of a profile that have to say where they are known from."""


@dataclass(frozen=True)
class DriverPage:
    """A paper as a family's driver offers it.

    Attributes
    ----------
    paper
        What is in the printer, by its name of PWG 5101.1.
    keyword
        What the driver calls it.
    page_mm
        Width and height of the driver's page, upright; larger than the paper where the printer prints beyond it.
    unprinted_mm
        What of that page is never printed, from the left, the top, the right and the bottom.
    """

    __pydantic_config__ = STRICT

    paper: str
    keyword: str
    page_mm: tuple[Annotated[float, Gt(0)], Annotated[float, Gt(0)]]
    unprinted_mm: tuple[float, float, float, float] = (0.0, 0.0, 0.0, 0.0)

    def __post_init__(self) -> None:
        try:
            size = medium(self.paper).size_mm
        except UnknownPaper as error:
            raise ValueError(str(error)) from None
        width, height = self.page_mm
        if width > height:
            raise ValueError(f"{self.keyword}: a page is upright, its width first")
        if size.width - width > SIZE_TOLERANCE_MM or size.height - height > SIZE_TOLERANCE_MM:
            raise ValueError(f"{self.keyword}: the page is smaller than its paper")
        if min(self.unprinted_mm) < 0:
            raise ValueError(f"{self.keyword}: what is not printed is a length")

    @property
    def setting(self) -> str:
        """The name of the paper in the settings, `paper.medium`: one of the size that the queue has."""
        paper = medium(self.paper)
        width, height = self.page_mm
        same = max(abs(width - paper.size_mm.width), abs(height - paper.size_mm.height)) <= SIZE_TOLERANCE_MM
        return paper.short if same else f"custom_{self.keyword.lower()}_{width:g}x{height:g}mm"

    @property
    def lost_mm(self) -> tuple[float, float, float, float]:
        """What of the page is not on the paper: not printed, or beside a paper that lies in the middle of the page.

        From the left, the top, the right and the bottom.
        """
        size: Size = medium(self.paper).size_mm
        across = max(0.0, (self.page_mm[0] - size.width) / 2)
        along = max(0.0, (self.page_mm[1] - size.height) / 2)
        left, top, right, bottom = self.unprinted_mm
        return max(left, across), max(top, along), max(right, across), max(bottom, along)

    @property
    def margins_mm(self) -> tuple[float, float, float, float]:
        """Margins for the settings, `paper.margins_mm`, rounded up to a tenth."""
        left, top, right, bottom = (math.ceil(round(10 * (lost + KEEP_OFF_MM), 3)) / 10 for lost in self.lost_mm)
        return left, top, right, bottom


@dataclass(frozen=True)
class PrinterProfile:
    """One family of printers.

    Attributes
    ----------
    family
        Its name, for people.
    driver
        What the driver's name holds, which `lpoptions -p QUEUE` shows as `printer-make-and-model`.
    matches
        Beginnings of that name; the empty one matches every printer with this driver.
    media
        The papers that the driver offers.
    sources
        For each of the tables `matches`, `media`, `borderless`, `options` and `seconds` that holds anything: where it
        is known from.
    proven_on
        What the family's printing was run against: `virtual printer`, `driver's output`, or nothing.
    borderless
        How printing to the edge is asked for.
    options
        The driver's options to set, `printer.options`; those of medium, quality and scaling are the booth's own.
    seconds
        What a sheet takes, by its paper.
    faults
        What goes wrong, and what to do.
    """

    __pydantic_config__ = STRICT

    family: str
    driver: Annotated[str, MinLen(1)]
    matches: Annotated[tuple[str, ...], MinLen(1)]
    media: tuple[DriverPage, ...]
    sources: dict[str, str]
    proven_on: tuple[str, ...]
    borderless: str = ""
    options: dict[str, str] = field(default_factory=dict)
    seconds: dict[str, Annotated[float, Gt(0)]] = field(default_factory=dict)
    faults: tuple[Quirk, ...] = ()

    def __post_init__(self) -> None:
        require_sources(self, _SOURCED, self.sources)
        papers = {page.paper for page in self.media}
        for paper in self.seconds:
            if paper not in papers:
                raise ValueError(f"seconds: {paper} is not among the media")

    def page_for(self, paper: str) -> DriverPage | None:
        """Return the driver's page for a paper of the settings, None where it is not known."""
        size = medium(paper).size_mm
        return next((page for page in self.media if medium(page.paper).size_mm == size), None)


def shipped_printers() -> tuple[PrinterProfile, ...]:
    """Return every profile of printers that comes with the program."""
    return read_shipped("printers", PrinterProfile)


def printer_profile_of(make_and_model: str, known: Sequence[PrinterProfile]) -> PrinterProfile | None:
    """Return the profile of a queue by its driver's name, None where nothing is known of it."""
    return longest_match(make_and_model, [profile for profile in known if profile.driver in make_and_model])


def make_and_model_in(listing: str) -> str:
    """Return the driver's name out of what `lpoptions -p QUEUE` prints; "" where it says none."""
    found = re.search(r"(?:^| )printer-make-and-model=(?:'((?:\\.|[^'\\])*)'|((?:\\.|\S)*))", listing)
    return re.sub(r"\\(.)", r"\1", found[1] or found[2] or "") if found else ""


def printers_folder() -> Path:
    """Return where the profiles lie."""
    return shipped_folder("printers")
