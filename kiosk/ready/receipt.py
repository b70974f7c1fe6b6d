"""Check the printer of receipts, if the settings name one."""

from __future__ import annotations

from collections.abc import Iterator

from kiosk.core.view.finding import Finding
from kiosk.devices.backends import make_slip_printer
from kiosk.errors import PrinterFault
from kiosk.settings import Settings
from kiosk.system.clock import Clock


def receipt_findings(settings: Settings, clock: Clock) -> Iterator[Finding]:
    """Yield the finding on the receipt printer; whatever it is, the booth may open."""
    printer, chosen = make_slip_printer(settings, clock), settings.receipt
    if printer is None or chosen is None:
        return
    try:
        printer.check(chosen.width_mm)
    except PrinterFault as fault:
        sentence = f"No receipt would be printed. {fault}"
        step = "Set up the queue of receipt.queue with a page of receipt.width_mm, and resume it."
        yield Finding("receipt", printer.name, "", False, sentence, step, "payment")
        return
    sentence = f"The receipt printer {printer.name} is ready."
    yield Finding("receipt", printer.name, "", True, sentence, "", "payment")
