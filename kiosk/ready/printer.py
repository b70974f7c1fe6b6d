"""The printer: whether it could print now."""

from __future__ import annotations

from kiosk.core.readiness import Finding
from kiosk.devices.base import Printer
from kiosk.errors import KioskError


def printer_findings(printer: Printer) -> list[Finding]:
    """Return how the printer stands; asking a printer may take some seconds."""
    try:
        printer.check()
    except KioskError as fault:
        return [Finding("printer", printer.name, "", False, str(fault), fault.advice, "printer", stops=True)]
    return [Finding("printer", printer.name, "", True, f"The printer {printer.name} could print now.", "", "printer")]
