"""What a session asks of the booth's parts."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Literal

from kiosk.core.base.ticket import Ticket
from kiosk.core.document.document import Document
from kiosk.core.judging.crop import CropPlan
from kiosk.core.session.receipt import Purchase
from kiosk.core.view.choice import Guest
from kiosk.core.view.handover import FileWay

Turn = Literal[0, 90, 180, 270]

Ending = Literal["printed", "abandoned", "gave_up", "fault"]


@dataclass(frozen=True, slots=True)
class Look:
    """Look at the live pictures, turned clockwise by `turned_deg`, or stop looking.

    Stills that were taken before are wiped as looking begins, all but those whose numbers are in `keeps`.
    """

    on: bool
    turned_deg: Turn = 0
    keeps: tuple[int, ...] = ()


@dataclass(frozen=True, slots=True)
class ReadCodes:
    """Read codes in the live pictures, and look at nothing else in them."""


@dataclass(frozen=True, slots=True)
class Shoot:
    """Take a still; nothing but what comes back under the ticket is this sitter's."""

    ticket: Ticket


@dataclass(frozen=True, slots=True)
class Measure:
    """Keep this still under its number, turn it clockwise, and measure it against the document."""

    ticket: Ticket
    jpeg: bytes = field(repr=False)
    document: Document
    number: int = 1
    turned_deg: Turn = 0


@dataclass(frozen=True, slots=True)
class Drop:
    """Overwrite and remove the still of that number: another one is better, or it is damaged."""

    number: int


@dataclass(frozen=True, slots=True)
class Print:
    """Impose and print what this plan cuts out of the last still; the sheet says if an attendant passed it.

    `sheets` is how many, and `paper` the short name of the one chosen, empty where there is only one. `not_certain`
    names what the sitter has accepted as doubtful, and the sheet says that too. `purchase` is what a receipt says of
    the sheets; None where they cost nothing.
    """

    ticket: Ticket
    plan: CropPlan
    document: Document
    passed_by_attendant: bool = False
    turned_deg: Turn = 0
    sheets: int = 1
    paper: str = ""
    not_certain: tuple[str, ...] = ()
    purchase: Purchase | None = None


@dataclass(frozen=True, slots=True)
class AskPayment:
    """Have the payment unit ask for an amount, in minor units of the currency (ISO 4217)."""

    ticket: Ticket
    amount: int
    currency: str


@dataclass(frozen=True, slots=True)
class CancelPayment:
    """Have the payment unit end; its answer still counts."""

    ticket: Ticket


@dataclass(frozen=True, slots=True)
class MakeFile:
    """Make a file of what this plan cuts out of the still of that number, and keep it until its sitter leaves."""

    ticket: Ticket
    plan: CropPlan
    document: Document
    number: int = 1
    turned_deg: Turn = 0


@dataclass(frozen=True, slots=True)
class HandFile:
    """Hand the file over by this way; a phone reads its page in this language."""

    way: FileWay
    language: str


@dataclass(frozen=True, slots=True)
class Find:
    """Search the roster for the beginning of a name."""

    query: str


@dataclass(frozen=True, slots=True)
class LookUp:
    """Look for the person on the roster whose id a code is."""

    code: str


@dataclass(frozen=True, slots=True)
class PrintBadge:
    """Print a guest's badge, with the photo that this plan cuts out of the last still or without one.

    `again` where they have had one before; `from_kept` with the photo that the organiser has.
    """

    ticket: Ticket
    guest: Guest
    plan: CropPlan | None
    shares: bool
    again: bool = False
    from_kept: bool = False


@dataclass(frozen=True, slots=True)
class Wipe:
    """Overwrite and remove everything that belongs to the sitter."""

    ending: Ending


Command = (
    Look
    | ReadCodes
    | Shoot
    | Measure
    | Drop
    | Print
    | AskPayment
    | CancelPayment
    | MakeFile
    | HandFile
    | Find
    | LookUp
    | PrintBadge
    | Wipe
)
