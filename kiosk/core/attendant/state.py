"""The attendant's desk as values: where the attendant stands, and what is to be done."""

from __future__ import annotations

from dataclasses import dataclass, field

from kiosk.core.attendant.pin_lock import Lock
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
    """What the desk is set to.

    Attributes
    ----------
    has_pin
        Whether there is a PIN; without one nobody gets in.
    idle_s
        After how long without a touch the desk closes.
    few_sheets
        From how many sheets on paper is said to run low.
    reprint_minutes
        How long a sheet may be printed again; 0 where none is kept.
    columns, roles, shows_photo
        At an event: what is asked of somebody who is added, the roles there are, and whether a badge shows a photo.
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
    """A shot without a sitter: what it told, and the picture as JPEG, in memory only."""

    told: tuple[str, ...]
    jpeg: bytes = field(default=b"", repr=False)


@dataclass(frozen=True, slots=True)
class Desk:
    """Where the attendant stands.

    Attributes
    ----------
    digits
        Those typed so far, of the PIN or of a number of sheets.
    asker
        Whose PIN is being checked; one at a time. Empty for nobody's.
    sheets
        How many are left in the printer by the count; None where nobody has counted.
    is_shut
        Whether the attendant has put the booth out of order.
    kept
        The sheets that may be printed again.
    """

    page: DeskPage = "closed"
    digits: str = field(default="", repr=False)
    active_s: float = 0.0
    asker: str = ""
    lock: Lock = field(default_factory=Lock)
    sheets: int | None = None
    is_shut: bool = False
    kept: tuple[KeptSheet, ...] = ()
    is_testing: bool = False
    shot: TrialShot | None = None
    notice: str = ""
    guests: GuestList = field(default_factory=GuestList)

    @property
    def why_shut(self) -> tuple[str, str] | None:
        """Return why the desk keeps the booth out of order, a sentence and a next step, or None."""
        return SHUT if self.is_shut else NO_PAPER if self.sheets == 0 else None


@dataclass(frozen=True, slots=True)
class CheckPin:
    """Check a PIN, away from the frame loop; `PinChecked` follows."""

    asker: str
    pin: str = field(repr=False)


@dataclass(frozen=True, slots=True)
class Refuse:
    """Tell the asker that no PIN is taken now."""

    asker: str


@dataclass(frozen=True, slots=True)
class TellSession:
    """Tell the session."""

    event: Event


@dataclass(frozen=True, slots=True)
class Record:
    """Put a fact into the ledger."""

    fact: Fact


@dataclass(frozen=True, slots=True)
class SaveDesk:
    """Keep the wrong PINs, the sheets and the shutting over a restart."""


@dataclass(frozen=True, slots=True)
class CheckReadiness:
    """Look the booth over."""


@dataclass(frozen=True, slots=True)
class TakeTestShot:
    """Release the camera."""


@dataclass(frozen=True, slots=True)
class Reprint:
    """Print a kept sheet again, by its key."""

    key: str


@dataclass(frozen=True, slots=True)
class SearchGuests:
    """Search the roster; `GuestsFound` follows."""

    query: str = field(repr=False)


@dataclass(frozen=True, slots=True)
class SaveGuest:
    """Write somebody into the roster, somebody new where `guest_id` is empty; `sure` where others have that name."""

    guest_id: str
    values: tuple[tuple[str, str], ...] = field(repr=False)
    sure: bool


@dataclass(frozen=True, slots=True)
class GuestsFound:
    """Who fits a query."""

    query: str = field(repr=False)
    guests: tuple[KnownGuest, ...] = field(repr=False)


@dataclass(frozen=True, slots=True)
class GuestSaved:
    """Somebody is in the roster as they were typed."""

    guest: KnownGuest = field(repr=False)


@dataclass(frozen=True, slots=True)
class GuestDoubled:
    """Others have that name; nothing was written."""

    doubles: tuple[KnownGuest, ...] = field(repr=False)


@dataclass(frozen=True, slots=True)
class GuestNotSaved:
    """Nothing was written, and why."""

    sentence: str


@dataclass(frozen=True, slots=True)
class GuestsNotSearched:
    """The roster could not be searched, and why."""

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
    | SearchGuests
    | SaveGuest
    | EndProgram
)
DeskTransition = tuple[Desk, tuple[DeskCommand, ...]]
