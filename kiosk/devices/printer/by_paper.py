"""One printer made of several, each with a paper of its own."""

from __future__ import annotations

from collections.abc import Mapping

from kiosk.core.session.facts import SheetEnd
from kiosk.devices.base import Printer, PrintJob
from kiosk.devices.printer.fallback import fault_of
from kiosk.errors import PrinterFault


class PrinterByPaper:
    """Print each sheet on the printer that has its paper.

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

    @property
    def notice(self) -> str:
        """What each of them wants to be looked at for."""
        return " ".join(printer.notice for printer in self._printers.values() if printer.notice)

    def check(self) -> None:
        """Return if every paper could be printed on now, because all of them are offered; errors as a printer's.

        All are asked, as `FallbackPrinter` does.
        """
        faults = [fault for printer in self._printers.values() if (fault := fault_of(printer)) is not None]
        if faults:
            raise faults[0]

    def print_sheet(self, job: PrintJob) -> str:
        """Print on the printer that has the paper; errors as a printer's."""
        printer = self._printers.get(job.medium)
        if printer is None:
            raise PrinterFault(printer=self.name, detail=f"no printer has the paper {job.medium}")
        return printer.print_sheet(job)

    def how_it_ended(self, key: str) -> SheetEnd:
        """Return the end that any of them knows of; not printed only where none may have."""
        ends = {printer.how_it_ended(key) for printer in self._printers.values()}
        return "printed" if "printed" in ends else "unknown" if "unknown" in ends else "not_printed"
