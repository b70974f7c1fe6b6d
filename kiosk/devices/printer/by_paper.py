"""Several papers, each in a printer or a queue of its own, as one printer."""

from __future__ import annotations

from collections.abc import Mapping

from kiosk.core.session.facts import SheetEnd
from kiosk.devices.base import Printer, PrintJob
from kiosk.errors import PrinterFault


class PrinterByPaper:
    """Print each sheet where its paper lies.

    Parameters
    ----------
    printers
        By the PWG 5101.1 name of their paper, that of the usual paper first.
    """

    def __init__(self, printers: Mapping[str, Printer]) -> None:
        self._printers = dict(printers)

    @property
    def name(self) -> str:
        """The name of the printer with the usual paper."""
        return next(iter(self._printers.values())).name

    def check(self) -> None:
        """Return where every paper could be printed on now: all of them are offered; errors as a printer's."""
        for printer in self._printers.values():
            printer.check()

    def print_sheet(self, job: PrintJob) -> str:
        """Print where the paper lies; errors as a printer's."""
        printer = self._printers.get(job.medium)
        if printer is None:
            raise PrinterFault(printer=self.name, detail=f"no printer has the paper {job.medium}")
        return printer.print_sheet(job)

    def how_it_ended(self, key: str) -> SheetEnd:
        """Return the end that any of them knows of; not printed only where none may have."""
        ends = {printer.how_it_ended(key) for printer in self._printers.values()}
        return "printed" if "printed" in ends else "unknown" if "unknown" in ends else "not_printed"
