"""Check that receipts can be printed, if the settings ask for them; whatever is found, the booth may open."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from decimal import Decimal

from kiosk.core.document.document import Document
from kiosk.core.session.receipt import NUMBER_LETTERS, Purchase
from kiosk.core.view.choice import Price
from kiosk.core.view.finding import Finding
from kiosk.devices.print_backends import make_slip_printer
from kiosk.errors import KioskError, PrinterFault
from kiosk.pipeline.sheet_layout import SheetLayout
from kiosk.render.receipt.words import sheet_receipts
from kiosk.render.sheet.margin_notes import notes_room
from kiosk.render.sheet.strip import SheetStrip
from kiosk.settings import Settings
from kiosk.settings.receipt import ReceiptSettings
from kiosk.system.clock import Clock


def receipt_findings(
    settings: Settings, documents: Sequence[Document], layout: SheetLayout, clock: Clock
) -> Iterator[Finding]:
    """Yield the findings on the receipt printer, or on the sheets that have no room for a receipt."""
    chosen = settings.receipt if settings.event is None else None
    if chosen is None:
        return
    if chosen.by == "queue":
        yield _printer(settings, chosen, clock)
        return
    full = [each.id for each in documents if not _has_room(settings, chosen, each, layout, clock)]
    sentence = "Each sheet has room for a receipt."
    if full:
        sentence = f"There is no room for a receipt on a sheet of {', '.join(full)}; it is left out."
    step = "Set fewer photos in paper.photos, or print receipts on a printer of their own."
    yield Finding("receipt", ", ".join(full) or "room", "", not full, sentence, step, "payment")


def _printer(settings: Settings, chosen: ReceiptSettings, clock: Clock) -> Finding:
    printer = make_slip_printer(settings, clock)
    assert printer is not None
    try:
        printer.check(chosen.width_mm)
    except PrinterFault as fault:
        sentence = f"No receipt would be printed. {fault}"
        step = "Set up the queue of receipt.queue with a page of receipt.width_mm, and resume it."
        return Finding("receipt", printer.name, "", False, sentence, step, "payment")
    return Finding("receipt", printer.name, "", True, f"The receipt printer {printer.name} is ready.", "", "payment")


def _has_room(
    settings: Settings, chosen: ReceiptSettings, document: Document, layout: SheetLayout, clock: Clock
) -> bool:
    """Return whether a receipt in the booth's first language finds room; a document that is no print needs none."""
    price = settings.prices.of(document.id)
    if not price:
        return True
    try:
        sheet = layout.impose(document)
    except KioskError:
        return True
    language, today = settings.booth.languages[0], clock.today()
    bought = Purchase(document, 1, Price(Decimal(price), settings.prices.currency), True, language)
    receipts = sheet_receipts(bought, chosen.lines, today, "0" * NUMBER_LETTERS)
    return notes_room(sheet, SheetStrip((document.id,), today, receipts=receipts)).for_receipt
