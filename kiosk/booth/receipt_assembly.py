"""The receipts put together from the settings; an event's badges have none."""

from __future__ import annotations

import contextlib
from collections.abc import Iterator

from kiosk.booth.receipt_tracker import ReceiptTracker, SlipTerms
from kiosk.devices.print_backends import make_slip_printer
from kiosk.devices.printer.slips import SlipQueue
from kiosk.settings import Settings
from kiosk.system.clock import Clock


def shop_on_sheets(settings: Settings) -> tuple[str, ...]:
    """Return the shop's lines on the receipts in the margins of sheets; nothing where no sheet has one."""
    chosen = settings.receipt if settings.event is None else None
    return tuple(chosen.lines) if chosen is not None and chosen.by == "sheet" else ()


@contextlib.contextmanager
def receipts_printed(settings: Settings, clock: Clock) -> Iterator[ReceiptTracker | None]:
    """Print receipts on a printer of their own, if the settings name one; errors as `make_slip_printer`."""
    chosen, printer = settings.receipt, make_slip_printer(settings, clock)
    if chosen is None or printer is None:
        yield None
        return
    terms = SlipTerms(tuple(chosen.lines), chosen.width_mm, chosen.margin_mm)
    with contextlib.closing(ReceiptTracker(SlipQueue(printer, clock), terms, clock)) as tracker:
        yield tracker
