"""All checks of the booth that need no test shot; they run at start-up and are shown to the attendant."""

from __future__ import annotations

import logging
from collections.abc import Callable, Sequence

from kiosk.core.document.document import Document
from kiosk.core.view.finding import Finding, stopping
from kiosk.devices.base import PrinterStanding
from kiosk.pipeline.sheet_layout import SheetLayout
from kiosk.ready.copies import copy_findings
from kiosk.ready.devices import device_findings
from kiosk.ready.disks import disk_findings
from kiosk.ready.event import event_findings
from kiosk.ready.handover import handover_findings
from kiosk.ready.lamps import line_findings
from kiosk.ready.ledger import ledger_findings
from kiosk.ready.look import look_findings
from kiosk.ready.machine import machine_findings
from kiosk.ready.mains import mains_findings
from kiosk.ready.office import office_findings
from kiosk.ready.page import page_findings
from kiosk.ready.paper import desk_findings
from kiosk.ready.payment import payment_findings
from kiosk.ready.printer import printer_findings
from kiosk.ready.program import program_findings
from kiosk.ready.receipt import receipt_findings
from kiosk.ready.rules import rule_findings
from kiosk.ready.site import site_findings
from kiosk.settings import Settings
from kiosk.system.clock import Clock

_log = logging.getLogger(__name__)


def booth_findings(
    settings: Settings,
    chosen: Sequence[Document],
    layout: SheetLayout,
    printers: Sequence[PrinterStanding],
    clock: Clock,
) -> list[Finding]:
    """Run all checks that need no picture; they take a few seconds at most.

    Parameters
    ----------
    settings
        The booth's settings.
    chosen
        The documents that the settings name, as their files define them.
    layout
        The layout on the paper in the printer.
    printers
        The status of each printer.
    clock
        The booth's clock.
    """
    today = clock.today()
    return [
        *device_findings(settings),
        *line_findings(settings),
        *printer_findings(printers, today),
        *desk_findings(settings),
        *payment_findings(settings),
        *receipt_findings(settings, chosen, layout, clock),
        *event_findings(settings),
        *(rule_findings(settings, chosen, layout, today) if settings.event is None else ()),
        *machine_findings(settings, chosen, today),
        *disk_findings(),
        *mains_findings(settings),
        *ledger_findings(settings, today),
        *copy_findings(settings, today),
        *office_findings(settings, clock.now()),
        *page_findings(settings),
        *program_findings(settings.booth.languages),
        *site_findings(settings),
        *look_findings(settings),
        *handover_findings(settings),
    ]


def gate(settings: Settings, documents: Sequence[Document], clock: Clock) -> Callable[[], tuple[str, str] | None]:
    """Log the findings that are not good, and return a function that says why the booth must stay closed, if it must.

    The function checks the machine again at every call, which is fast enough for the frame loop. Faults of camera and
    printer are not its business: the devices report them.
    """
    unchanging = [*program_findings(settings.booth.languages), *site_findings(settings)]
    devices = [*device_findings(settings), *line_findings(settings)]
    for finding in (*devices, *unchanging, *machine_findings(settings, documents, clock.today())):
        if not finding.good:
            _log.warning("%s", finding.sentence)
    stopped = stopping(unchanging)

    def why_shut() -> tuple[str, str] | None:
        found = stopped or stopping(machine_findings(settings, documents, clock.today()))
        return (found.sentence, found.next_step) if found is not None else None

    return why_shut
