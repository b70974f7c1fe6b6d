"""The values of the attendant's desk: its configuration, its state, its commands and the answers to them."""

from __future__ import annotations

from dataclasses import dataclass, field
from functools import partial

from kiosk.core.attendant.pin_lock import Lock
from kiosk.core.base.ticket import Ticket
from kiosk.core.session.bill import Bill
from kiosk.core.session.events import Event
from kiosk.core.session.facts import Fact
from kiosk.core.view.attendant import DeskPage, GuestList, KnownGuest
from kiosk.core.view.kept_sheet import KeptSheet

SHUT = ("The attendant has put this booth out of order.", "Open it again at the attendant's desk.")
NO_PAPER = (
    "By the count there is no paper left.",
    "Load paper, then say at the attendant's desk how many sheets there are.",
)


@dataclass(frozen=True, slots=True)
class DeskConfig:
    """The settings of the desk.

    Attributes
    ----------
    has_pin
        Whether a PIN is set; without one nobody can sign in.
    idle_s
        Seconds without a touch after which the desk closes.
    few_sheets
        Number of sheets at or below which paper counts as low.
    reprint_minutes
        How long a sheet can be printed again; 0 if sheets are not kept.
    columns, roles, shows_photo
        At an event: the columns to fill in for a new guest, the known roles, and whether badges show a photo.
    """

    has_pin: bool = False
    idle_s: float = 60.0
    few_sheets: int = 10
    reprint_minutes: int = 0
    columns: tuple[str, ...] = ()
    roles: tuple[str, ...] = ()
    shows_photo: bool = False


@dataclass(frozen=True, slots=True)
class TrialShot:
    """A test shot: its results in words, and the picture as JPEG, in memory only."""

    report: tuple[str, ...]
    jpeg: bytes = field(default=b"", repr=False)


@dataclass(frozen=True, slots=True)
class Desk:
    """The state of the desk.

    Attributes
    ----------
    digits
        The digits typed so far, of the PIN or of a number of sheets.
    active_s
        Time of the last touch (monotonic seconds).
    asker
        Whose PIN is being checked, one at a time; empty if none is.
    lock, page_lock
        The locks of the PIN at the booth's own desk and on the attendant's page. They are separate, so that nobody on
        the network can lock the desk.
    sheets
        Sheets left in the printer by count; None if nobody has counted them.
    on_their_way
        The keys of the print jobs that are not counted yet, each with its number of sheets. They are saved with the
        count before a job is sent, and leave it in the same write that counts them: so a crash at any time leaves each
        job counted, or known as one that is to be counted.
    is_shut
        Whether the attendant has closed the booth.
    kept
        The sheets that can be printed again.
    owed
        The bills whose money is to be paid out.
    is_testing, ticket
        Whether a test shot is pending, and the ticket of the last one.
    """

    page: DeskPage = "closed"
    digits: str = field(default="", repr=False)
    active_s: float = 0.0
    asker: str = ""
    lock: Lock = field(default_factory=Lock)
    page_lock: Lock = field(default_factory=Lock)
    sheets: int | None = None
    on_their_way: tuple[tuple[str, int], ...] = ()
    is_shut: bool = False
    kept: tuple[KeptSheet, ...] = ()
    owed: tuple[Bill, ...] = ()
    is_testing: bool = False
    ticket: Ticket = field(default_factory=partial(Ticket, holder="attendant"))
    shot: TrialShot | None = None
    notice: str = ""
    guests: GuestList = field(default_factory=GuestList)

    def awaits(self, ticket: Ticket) -> bool:
        """Return whether the pending test shot has this ticket."""
        return self.is_testing and ticket == self.ticket

    @property
    def why_shut(self) -> tuple[str, str] | None:
        """Why the desk keeps the booth closed, as a sentence and a next step; None if it does not."""
        return SHUT if self.is_shut else NO_PAPER if self.sheets == 0 else None


@dataclass(frozen=True, slots=True)
class CheckPin:
    """Check a PIN outside the frame loop, since hashing is slow; `step.checked` takes the result."""

    asker: str
    pin: str = field(repr=False)


@dataclass(frozen=True, slots=True)
class Refuse:
    """Answer that no PIN is accepted at present."""

    asker: str


@dataclass(frozen=True, slots=True)
class TellSession:
    """Pass an event to the session."""

    event: Event


@dataclass(frozen=True, slots=True)
class Record:
    """Put a fact into the ledger."""

    fact: Fact


@dataclass(frozen=True, slots=True)
class SaveDesk:
    """Save the wrong PINs, the count of sheets and the closure, so that they survive a restart."""


@dataclass(frozen=True, slots=True)
class CheckReadiness:
    """Run the checks of the booth."""


@dataclass(frozen=True, slots=True)
class TakeTestShot:
    """Take a test shot; its picture comes back under the ticket and belongs to the desk."""

    ticket: Ticket


@dataclass(frozen=True, slots=True)
class Reprint:
    """Print the kept sheet with this key again."""

    key: str


@dataclass(frozen=True, slots=True)
class Settle:
    """The attendant has paid out what the bill with this key owed."""

    bill: str


@dataclass(frozen=True, slots=True)
class SearchGuests:
    """Search the roster; `GuestsFound` or `GuestsNotSearched` follows."""

    query: str = field(repr=False)


@dataclass(frozen=True, slots=True)
class SaveGuest:
    """Write a guest to the roster, a new one if `guest_id` is empty; `sure` permits a name that others have."""

    guest_id: str
    values: tuple[tuple[str, str], ...] = field(repr=False)
    sure: bool


@dataclass(frozen=True, slots=True)
class GuestsFound:
    """The guests that match a query."""

    query: str = field(repr=False)
    guests: tuple[KnownGuest, ...] = field(repr=False)


@dataclass(frozen=True, slots=True)
class GuestSaved:
    """A guest was written to the roster."""

    guest: KnownGuest = field(repr=False)


@dataclass(frozen=True, slots=True)
class GuestDoubled:
    """Others have the same name, so nothing was written."""

    doubles: tuple[KnownGuest, ...] = field(repr=False)


@dataclass(frozen=True, slots=True)
class GuestNotSaved:
    """Nothing was written; the sentence says why."""

    sentence: str


@dataclass(frozen=True, slots=True)
class GuestsNotSearched:
    """The roster could not be searched; the sentence says why."""

    query: str = field(repr=False)
    sentence: str


GuestAnswer = GuestsNotSearched | GuestsFound | GuestSaved | GuestDoubled | GuestNotSaved


@dataclass(frozen=True, slots=True)
class EndProgram:
    """End the program."""


DeskCommand = (
    CheckPin
    | Refuse
    | TellSession
    | Record
    | SaveDesk
    | CheckReadiness
    | TakeTestShot
    | Reprint
    | Settle
    | SearchGuests
    | SaveGuest
    | EndProgram
)
DeskTransition = tuple[Desk, tuple[DeskCommand, ...]]
