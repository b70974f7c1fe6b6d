"""The sheets on their way: counted before they go to the printer and when it is known how they ended."""

from __future__ import annotations

from kiosk.booth.attendant_desk import AttendantDesk
from kiosk.core.document.document import Document
from kiosk.core.session.facts import Attended, Ledger, SheetBegun, SheetEnded
from kiosk.core.view.kept_sheet import KeptSheet
from kiosk.devices.base import PrintJob, PrintStatus
from kiosk.devices.printer.queue import PrintQueue
from kiosk.errors import SheetUnknown
from kiosk.store.kept_sheets import KeptSheets


class SheetTracker:
    """Where each sheet of the booth is; for the frame loop's thread alone.

    Parameters
    ----------
    prints, ledger
        Of the booth.
    kept
        Where sheets are kept that may be printed again; None keeps none.
    counted
        The PWG 5101.1 name of the paper that is counted down; others that a sitter may choose are not.
    desk
        The attendant's desk, which counts it.
    """

    def __init__(
        self, prints: PrintQueue, ledger: Ledger, kept: KeptSheets | None, counted: str, desk: AttendantDesk | None
    ) -> None:
        self._counted = counted
        self._desk = desk
        self._prints = prints
        self._ledger = ledger
        self._kept = kept
        self._sent = set[str]()
        self._awaited = ""
        self._failed = ""

    def send(
        self,
        job: PrintJob,
        document: Document,
        photos: int,
        not_certain: tuple[str, ...] = (),
        paid: tuple[str, int] = ("", 0),
    ) -> None:
        """Send a sitter's sheet, with so many photos on it, and keep it where it may be printed again.

        Parameters
        ----------
        not_certain
            Names of what the sitter has accepted as doubtful.
        paid
            The key of the bill that pays for it, and its price.
        """
        self._drop_failed()
        bill, price = paid
        begun = SheetBegun(
            job.key, document.id, job.medium, photos, job.copies, not_certain=not_certain, bill=bill, price=price
        )
        self._awaited = job.key
        if self._kept is not None:
            self._kept.keep(job.pdf, begun, document.title)
        self._send(job, begun)

    def send_again(self, key: str) -> None:
        """Print a kept sheet again, as a sheet of its own that no session waits for."""
        again = self._kept.again(key) if self._kept is not None else None
        if again is not None:
            pdf, begun = again
            self._ledger.put(Attended("reprinted"))
            self._send(PrintJob(begun.key, pdf, begun.medium, begun.sheets), begun)

    @property
    def are_on_their_way(self) -> bool:
        """Whether a sheet was sent whose end is not known yet."""
        return bool(self._sent)

    def offered(self) -> tuple[KeptSheet, ...]:
        """Return those that may be printed again now."""
        return self._kept.offered() if self._kept is not None else ()

    def count(self, job: PrintJob) -> None:
        """Have the desk count the paper of a job, of this tracker or another, which is about to be sent."""
        if self._desk is not None and job.medium == self._counted:
            self._desk.sent(job.key, job.copies)

    def moved(self, status: PrintStatus) -> None:
        """Tell the ledger and the desk how a sheet ended, this sitter's or an earlier one's."""
        if status.state not in ("done", "failed"):
            return
        if self._kept is not None:
            self._kept.ended(status.key)
        if self._desk is not None:
            self._desk.ended(status.key, printed=status.state == "done")
        self._sent.discard(status.key)
        if status.state == "done":
            self._ledger.put(SheetEnded(status.key, "printed"))
            return
        unknown = isinstance(status.error, SheetUnknown)
        self._ledger.put(SheetEnded(status.key, "unknown" if unknown else "not_printed"))
        if status.key == self._awaited:
            self._failed = status.key

    def session_ended(self, *, abandoned: bool) -> None:
        """Destroy the kept copy of a failed sheet that its sitter gave up; another one is left to the desk."""
        if abandoned:
            self._drop_failed()
        self._failed = ""

    def _drop_failed(self) -> None:
        if self._kept is not None:
            self._kept.forget(self._failed)

    def _send(self, job: PrintJob, begun: SheetBegun) -> None:
        self._sent.add(job.key)
        self.count(job)
        self._ledger.put(begun)
        self._prints.submit(job)
