"""The whole booth, short of its camera's trial: what runs by itself at start and is shown to the attendant."""

from __future__ import annotations

import logging
from collections.abc import Callable, Sequence
from datetime import date

from kiosk.core.document.document import Document
from kiosk.core.view.finding import Finding, stopping
from kiosk.devices.base import PrinterStanding
from kiosk.pipeline.picture_jobs import SheetLayout
from kiosk.ready.devices import device_findings
from kiosk.ready.event import event_findings
from kiosk.ready.ledger import ledger_findings
from kiosk.ready.machine import machine_findings
from kiosk.ready.paper import desk_findings
from kiosk.ready.printer import printer_findings
from kiosk.ready.program import program_findings
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
    today: date,
) -> list[Finding]:
    """Return everything that can be told without taking a picture, in some seconds at most.

    Parameters
    ----------
    chosen
        The documents that the settings name, as their files have them.
    layout
        The paper in the printer.
    printers
        How each of them stands.
    """
    return [
        *device_findings(settings),
        *printer_findings(printers, today),
        *desk_findings(settings),
        *event_findings(settings),
        *(rule_findings(settings, chosen, layout, today) if settings.event is None else ()),
        *machine_findings(settings, chosen, today),
        *ledger_findings(settings, today),
        *program_findings(settings.booth.languages),
        *site_findings(settings),
    ]


def gate(settings: Settings, documents: Sequence[Document], clock: Clock) -> Callable[[], tuple[str, str] | None]:
    """Log now what is not as it should be, and return what tells why it takes no sitter, if anything.

    What is returned looks at the machine anew each time, at once; camera and printer answer for themselves.
    """
    lasting = [*program_findings(settings.booth.languages), *site_findings(settings)]
    for finding in (*device_findings(settings), *lasting, *machine_findings(settings, documents, clock.today())):
        if not finding.good:
            _log.warning("%s", finding.sentence)
    wrong = stopping(lasting)

    def why_shut() -> tuple[str, str] | None:
        found = wrong or stopping(machine_findings(settings, documents, clock.today()))
        return (found.sentence, found.next_step) if found is not None else None

    return why_shut
