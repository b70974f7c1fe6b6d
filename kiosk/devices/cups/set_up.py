"""What a sheet would be printed with now: driver, medium, options and defaults, and the fingerprint of it all."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

from kiosk.core.base.geometry import Size
from kiosk.core.sheet.imposition import Margins, Medium
from kiosk.devices.cups.connection import Queue
from kiosk.devices.cups.job import Patience
from kiosk.devices.cups.media import QueueDriver, QueueMedium, choose_medium
from kiosk.devices.cups.options import set_up_of
from kiosk.errors import PrinterFault

LIMIT_S = 300.0
"""The longest that a sheet may take; a photo printer takes 10 to 60 s (practice of the trade)."""
_REACH_MM = 0.05


@dataclass(frozen=True, slots=True)
class Printing:
    """How a booth prints: the paper, whether without borders, and the driver's options from the printer's profile."""

    medium: Medium
    margins: Margins
    borderless: bool = False
    options: Mapping[str, str] = field(default_factory=dict)
    patience: Patience = field(default_factory=lambda: Patience(LIMIT_S))


@dataclass(frozen=True, slots=True)
class SetUp:
    """What a sheet would be printed with now; `digest` is the fingerprint of it all."""

    driver: QueueDriver
    medium: QueueMedium
    digest: str


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
    if found is None:
        detail = f"it has no paper of {size_mm.width:.1f} x {size_mm.height:.1f} mm"
        raise PrinterFault(printer=queue.name, detail=detail)
    for side in ("left", "top", "right", "bottom"):
        needed_mm, set_mm = (getattr(margins, f"{side}_mm") for margins in (found.margins, wanted.margins))
        if set_mm < needed_mm - _REACH_MM:
            detail = f"it leaves {needed_mm:.1f} mm free on the {side} and the sheet is laid out for {set_mm:.1f} mm"
            raise PrinterFault(printer=queue.name, detail=detail)
    return SetUp(driver, found, set_up_of(driver, found, wanted.options, queue.defaults()))


def _upright(size_mm: Size) -> Size:
    return size_mm if size_mm.width <= size_mm.height else size_mm.turned()
