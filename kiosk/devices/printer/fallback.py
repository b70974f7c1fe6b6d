"""Two printers as one: the second prints what the first cannot."""

from __future__ import annotations

from kiosk.core.session.facts import SheetEnd
from kiosk.devices.base import Printer, PrintJob
from kiosk.errors import PrinterFault, SheetUnknown

_SUREST: tuple[SheetEnd, ...] = ("printed", "unknown", "not_printed")


class FallbackPrinter:
    """Print on the first printer that is able to; a sheet that may have come out is never sent to the other."""

    def __init__(self, first: Printer, second: Printer) -> None:
        self._first = first
        self._second = second

    @property
    def name(self) -> str:
        """Both names."""
        return f"{self._first.name} or {self._second.name}"

    @property
    def notice(self) -> str:
        """What both want to be looked at for."""
        return " ".join(notice for notice in (self._first.notice, self._second.notice) if notice)

    def check(self) -> None:
        """Return if either could print; raise the first one's fault if neither could.

        Both are asked, because each removes what a crash has left with it: it would come out for somebody else.
        """
        faults = [fault_of(printer) for printer in (self._first, self._second)]
        if faults[0] is not None and faults[1] is not None:
            raise faults[0]

    def print_sheet(self, job: PrintJob) -> str:
        """Print on the first, or on the second where the first surely did not; errors as a printer's."""
        try:
            return self._first.print_sheet(job)
        except SheetUnknown:
            raise
        except PrinterFault as fault:
            try:
                return self._second.print_sheet(job)
            except SheetUnknown:
                raise
            except PrinterFault:
                raise fault from None

    def how_it_ended(self, key: str) -> SheetEnd:
        """Return the end that either printer knows of; not printed only where neither may have."""
        ends = {printer.how_it_ended(key) for printer in (self._first, self._second)}
        return next(end for end in _SUREST if end in ends)


def fault_of(printer: Printer) -> PrinterFault | None:
    """Return why a printer could not print now, or None where it could."""
    try:
        printer.check()
    except PrinterFault as fault:
        return fault
    return None
