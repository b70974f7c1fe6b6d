"""The contract of a printer, the sheets that it is given, and how it stands.

A printer may block: it works in the thread of the print queue, and the frame loop polls that queue.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from typing import TYPE_CHECKING, Literal, Protocol

from kiosk.devices.base.device import DeviceFailed, DeviceNotice, DeviceReady
from kiosk.errors import KioskError

if TYPE_CHECKING:
    from kiosk.core.session.facts import SheetEnd  # an import of 0.4 s, too long for the restart of a camera's process


@dataclass(frozen=True, slots=True)
class PrintJob:
    """One sheet to print.

    Attributes
    ----------
    key
        Unique for this sheet; a printer never prints the same key twice.
    pdf
        The finished sheet; its page is the medium.
    medium
        PWG 5101.1 self-describing name.
    copies
        How many sheets.
    is_awaited
        Whether somebody waits for it, so that it is held while the printer is put right.
    """

    key: str
    pdf: bytes
    medium: str
    copies: int = 1
    is_awaited: bool = False


PrintState = Literal["waiting", "printing", "held", "done", "failed"]
"""`held` is a sheet known not to have been printed, which is sent again once the printer could print."""


@dataclass(frozen=True, slots=True)
class PrintStatus:
    """Where a job stands."""

    key: str
    state: PrintState
    where: str = ""
    error: KioskError | None = None


PrinterEvent = PrintStatus | DeviceFailed | DeviceReady | DeviceNotice


class Printer(Protocol):
    """A printer seen from the print thread, where both may block: `print_sheet` does until the job has ended."""

    @property
    def name(self) -> str:
        """The queue or folder."""
        ...

    @property
    def notice(self) -> str:
        """What the attendant should look at before long, by the last check or sheet; nothing where nothing is."""
        ...

    def check(self) -> None:
        """Return where a sheet could be printed now.

        Raises
        ------
        PrinterFault
            It could not, and why.
        """
        ...

    def print_sheet(self, job: PrintJob) -> str:
        """Print and return where the sheet went.

        Raises
        ------
        PrinterFault
            The sheet was not printed.
        """
        ...

    def how_it_ended(self, key: str) -> SheetEnd:
        """Return how a sheet ended that a crash interrupted, from what is on the disk; callable before any print."""
        ...


@dataclass(frozen=True, slots=True)
class Supply:
    """A ribbon or an ink: what is left of it and from where on that is little, in percent."""

    name: str
    percent: int
    few_percent: int

    @property
    def is_low(self) -> bool:
        """Whether somebody should have the next one at hand."""
        return self.percent <= self.few_percent


@dataclass(frozen=True, slots=True)
class ColourStanding:
    """How a printer's last colour page stands.

    Attributes
    ----------
    cast, tone
        How far a grey was off neutral in a*b* and off its L*, uncertainty included.
    refusal
        Why its colour is not proven any more, without its name; nothing where it is.
    due
        Whether it is time to measure a page again.
    drift
        How far a grey had moved since the page before, in L*a*b*; None where there was none.
    """

    measured_on: date
    cast: float
    tone: float
    refusal: str = ""
    due: bool = False
    drift: float | None = None


@dataclass(frozen=True, slots=True)
class PrinterStanding:
    """How a printer stands before the booth opens.

    Attributes
    ----------
    obstacle
        Why it could print nothing now, as a sentence; nothing where it could.
    refusal
        Why it must not print documents, as a sentence; nothing where it may.
    next_step
        What to do about the obstacle or, where there is none, about the refusal; nothing where it may print.
    measured_on, error
        The day of its last ruler page, and how far a length was off on it, uncertainty included, as a fraction; None
        where there is none, and of a printer that has no scale.
    due
        Whether it is time to measure a page again, though documents may still be printed.
    supplies
        What is left in it of ribbon or ink; nothing where it does not say.
    edge_mm
        How near to the paper's edge a sheet is laid out on one without borders, less than 0 beyond it; None on one with
        borders.
    colour
        Its last colour page; None where none was measured, and of a printer that has no proof of colour.
    """

    printer: str
    medium: str
    obstacle: str = ""
    refusal: str = ""
    next_step: str = ""
    measured_on: date | None = None
    error: float | None = None
    due: bool = False
    supplies: tuple[Supply, ...] = ()
    edge_mm: float | None = None
    colour: ColourStanding | None = None
