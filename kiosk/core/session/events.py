"""What happens to a session."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Literal

from kiosk.core.base.measurement import Observation
from kiosk.core.base.ticket import Ticket
from kiosk.core.judging.conformance import Judgement
from kiosk.core.judging.override import OverrideReason
from kiosk.core.session.bill import PaymentEnd
from kiosk.core.view.attendant import BadgeWay
from kiosk.core.view.choice import Guest, Search
from kiosk.core.view.handover import FileFault
from kiosk.core.view.intent import Intent


@dataclass(frozen=True, slots=True)
class Still:
    """A measured still: the judgement, the cropped photo for the review screen, and why an attendant passed it.

    `number` identifies it among the session's stills; `accepted` is whether the sitter has it printed though something
    in it is doubtful.
    """

    judgement: Judgement
    photo_jpeg: bytes = field(default=b"", repr=False)
    override: OverrideReason | None = None
    number: int = 1
    accepted: bool = False

    @property
    def passed(self) -> bool:
        """Whether it may be printed: it conforms, an attendant has passed it, or the sitter accepts its doubts."""
        return self.judgement.verdict == "pass" or self.override is not None or self.accepted

    @property
    def not_certain(self) -> tuple[str, ...]:
        """Names of what is doubtful in a photo that is printed all the same, because its sitter accepts that."""
        return self.judgement.reasons if self.accepted else ()


@dataclass(frozen=True, slots=True)
class Seen:
    """A live picture was looked at."""

    observation: Observation


@dataclass(frozen=True, slots=True)
class ShotArrived:
    """The camera delivered the still that was ordered under the ticket."""

    ticket: Ticket
    jpeg: bytes = field(repr=False)


@dataclass(frozen=True, slots=True)
class ShotFailed:
    """The still that was ordered under the ticket did not arrive, or could not be decoded."""

    ticket: Ticket


@dataclass(frozen=True, slots=True)
class Measured:
    """The still that was ordered under the ticket was measured and judged."""

    ticket: Ticket
    still: Still


@dataclass(frozen=True, slots=True)
class Found:
    """The roster was searched."""

    search: Search


@dataclass(frozen=True, slots=True)
class CodesSeen:
    """Codes were read in the newest live picture: what they say."""

    codes: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class CodeKnown:
    """A code was looked up on the roster: whose id it is, or None for nobody's."""

    code: str
    guest: Guest | None


@dataclass(frozen=True, slots=True)
class BadgeSent:
    """The guest's badge is on its way to the printer."""

    ticket: Ticket


@dataclass(frozen=True, slots=True)
class BadgeRefused:
    """The guest's badge is not printed here and now, with the sentence and the next step."""

    ticket: Ticket
    sentence: str
    next_step: str


@dataclass(frozen=True, slots=True)
class PrintMoved:
    """The print job moved on; `held` waits for a printer that is put right."""

    state: Literal["printing", "held", "done"]


@dataclass(frozen=True, slots=True)
class PrinterStood:
    """Whether the printer could print now, told to a sitter who is about to pay."""

    can_print: bool


@dataclass(frozen=True, slots=True)
class MoneyCame:
    """The credit of the sitter whose last payment has the ticket, in minor units, and the code of the bill."""

    ticket: Ticket
    credit: int
    code: str


@dataclass(frozen=True, slots=True)
class PaymentOver:
    """The payment unit has answered, cannot be used (`failed`), or does not say whether it was paid (`unknown`)."""

    ticket: Ticket
    end: PaymentEnd | Literal["failed", "unknown"]


@dataclass(frozen=True, slots=True)
class MoneyReturned:
    """The credit was paid back by the unit, or else is to be paid out by the attendant."""

    ticket: Ticket
    by_unit: bool


FileSaid = Literal["kept", "link", "insert", "writing", "taken"] | FileFault
"""What is said of a file on its way; `kiosk.core.view.handover` has the meanings."""


@dataclass(frozen=True, slots=True)
class FileMoved:
    """The file that was cut under the ticket moved on; `link` is the address that a phone is to ask for."""

    ticket: Ticket
    said: FileSaid
    link: str = field(default="", repr=False)


@dataclass(frozen=True, slots=True)
class Failed:
    """A device failed for longer than a sitter can wait; `key` is that of the error."""

    sentence: str
    next_step: str
    key: str = "internal_error"


@dataclass(frozen=True, slots=True)
class Mended:
    """Every device answers again."""


@dataclass(frozen=True, slots=True)
class Overridden:
    """The attendant passes the photo that is under review, for a reason."""

    reason: OverrideReason


@dataclass(frozen=True, slots=True)
class AgeTold:
    """The attendant says whose photo it is: the age in completed years, one of the document's."""

    age_years: int


@dataclass(frozen=True, slots=True)
class Released:
    """The attendant releases the sheet that waits."""


@dataclass(frozen=True, slots=True)
class GuestSent:
    """The attendant sends a guest on, whose badge is printed in one of the ways; a further one where there is one."""

    guest: Guest
    way: BadgeWay


@dataclass(frozen=True, slots=True)
class CallAnswered:
    """The attendant has come to the sitter who called."""


@dataclass(frozen=True, slots=True)
class Tick:
    """Time has passed."""


Event = (
    Intent
    | Seen
    | ShotArrived
    | ShotFailed
    | Measured
    | Found
    | CodesSeen
    | CodeKnown
    | BadgeSent
    | BadgeRefused
    | PrintMoved
    | PrinterStood
    | MoneyCame
    | PaymentOver
    | MoneyReturned
    | FileMoved
    | Failed
    | Mended
    | Overridden
    | AgeTold
    | Released
    | GuestSent
    | CallAnswered
    | Tick
)
