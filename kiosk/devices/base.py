"""The contracts of a camera and a printer, and what they report.

Nothing here blocks the caller for longer than a memory copy: a camera or printer works in its own process or thread,
and the frame loop polls. Buffers handed out are `bytes`, owned by the receiver.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date
from typing import TYPE_CHECKING, Literal, Protocol

from kiosk.core.base.ticket import Ticket
from kiosk.core.camera_setup.exposure import Setting
from kiosk.errors import KioskError

if TYPE_CHECKING:
    from kiosk.core.session.facts import (
        SheetEnd,  # takes 0.4 s to import, which the camera's process has not at a restart
    )

LOW_BATTERY_PERCENT = 25
"""Below it the attendant is told: practice, a change of batteries before the camera goes."""

DeviceState = Literal["starting", "ready", "busy", "fault", "closed"]


@dataclass(frozen=True, slots=True)
class LiveFrame:
    """The newest picture of the live view.

    Attributes
    ----------
    sequence
        Rises by one for each frame the camera delivered.
    taken_s
        Monotonic seconds at which the camera delivered it.
    jpeg
        The picture as the camera sent it, not mirrored.
    """

    sequence: int
    taken_s: float
    jpeg: bytes


@dataclass(frozen=True, slots=True)
class StillTaken:
    """The shot that was ordered under the ticket has arrived, as the file the camera wrote."""

    ticket: Ticket
    jpeg: bytes


@dataclass(frozen=True, slots=True)
class DeviceFailed:
    """A command or the connection failed; the device tries to come back by itself.

    `ticket` is that of the shot which is lost with it; None where none was under way, and of a printer.
    """

    error: KioskError
    ticket: Ticket | None = None


@dataclass(frozen=True, slots=True)
class DeviceReady:
    """The device answers, at start or again after a fault."""

    model: str


@dataclass(frozen=True, slots=True)
class DeviceNotice:
    """The device goes on, but an attendant should look at it before long: one sentence."""

    text: str


@dataclass(frozen=True, slots=True)
class DeviceSettings:
    """How the camera is set, and how it can be.

    Attributes
    ----------
    settings
        By role, `iso`, `aperture`, `white_balance` and so on, in the camera's own words; empty where it has none.
    temperatures_k
        Of those of its white balances whose temperature is known.
    own_white
        Of its white balances, those that show a white as it was measured in the camera's own menu.
    room
        For how many more pictures its card has room; None where it does not say.
    """

    settings: Mapping[str, Setting]
    temperatures_k: Mapping[str, float]
    own_white: tuple[str, ...] = ()
    room: int | None = None


CameraEvent = StillTaken | DeviceFailed | DeviceReady | DeviceNotice | DeviceSettings


class Camera(Protocol):
    """A tethered camera seen from the frame loop. Every method but `close` returns at once."""

    @property
    def state(self) -> DeviceState:
        """The state as last known."""
        ...

    @property
    def simulated(self) -> bool:
        """Whether its pictures are made up; shown on the screen and on every sheet."""
        ...

    def start(self) -> None:
        """Connect and begin the live view; `DeviceReady` follows."""
        ...

    def newest(self) -> LiveFrame | None:
        """Return the newest live frame, or None where none has come since the start or since `forget`.

        Safe from any one thread.
        """
        ...

    def shoot(self, ticket: Ticket) -> None:
        """Take a still; `StillTaken` or `DeviceFailed` follows, under the same ticket.

        While another one is being taken, it is taken afterwards; a ticket that is under way is not taken twice.
        """
        ...

    def forget(self) -> None:
        """Forget every picture that was taken before now: another sitter is before the camera, or none.

        No live frame from before is handed out any more, and no still of a later order shows what came before it.
        """
        ...

    def tell_settings(self) -> None:
        """Ask how the camera is set; `DeviceSettings` follows, unless the camera is not ready."""
        ...

    def poll(self) -> list[CameraEvent]:
        """Return what has happened since the last call, oldest first."""
        ...

    def close(self) -> None:
        """Leave the live view and disconnect, within a few seconds; may be called twice."""
        ...


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


PrinterEvent = PrintStatus | DeviceFailed | DeviceReady


class Printer(Protocol):
    """A printer seen from the print thread, where both may block: `print_sheet` does until the job has ended."""

    @property
    def name(self) -> str:
        """The queue or folder."""
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
        How near to the edge a sheet is laid out on a paper without borders; None on one with borders.
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
