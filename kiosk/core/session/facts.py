"""What a session leaves behind: facts without a picture, a name or a measurement of a face.

A requirement is noted by its name and its word, never by what was measured. Reasons come from fixed lists, so that
nobody can write a sitter's name into them. `Stamped` adds when; which session a fact belongs to follows from its place
between `SessionBegan` and `SessionEnded`, because a booth serves one sitter at a time.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from typing import Literal, Protocol

from kiosk.core.base.decision import Word
from kiosk.core.judging.conformance import Verdict
from kiosk.core.judging.override import OverrideReason
from kiosk.core.session.commands import Ending
from kiosk.core.session.payment_facts import PaymentFact
from kiosk.core.view.handover import FileWay

AttendantAct = Literal[
    "prints_released",
    "paper_changed",
    "closed",
    "opened",
    "sitter_helped",
    "test_shot",
    "reprinted",
    "signed_in",
    "pin_wrong",
    "ended",
]
"""What an attendant did, beside overriding a verdict; `pin_wrong` is somebody who may not be one."""

SheetEnd = Literal["printed", "not_printed", "unknown"]
"""How a sheet ended; `unknown` if it may or may not have come out."""


@dataclass(frozen=True, slots=True)
class SessionBegan:
    """A sitter touched the welcome screen."""

    language: str


@dataclass(frozen=True, slots=True)
class LanguageChosen:
    """The sitter changed the language; a BCP 47 tag."""

    language: str


@dataclass(frozen=True, slots=True)
class DocumentChosen:
    """The sitter chose what the photo is for; the document's id."""

    document: str


@dataclass(frozen=True, slots=True)
class ConsentGiven:
    """The sitter agreed to be looked at by the camera."""


@dataclass(frozen=True, slots=True)
class ShotJudged:
    """A still was measured: its number in the session, the verdict, and each requirement's name and word."""

    number: int
    verdict: Verdict
    words: tuple[tuple[str, Word], ...] = ()


@dataclass(frozen=True, slots=True)
class ShotLost:
    """A still did not arrive, or not whole."""

    number: int


@dataclass(frozen=True, slots=True)
class SheetBegun:
    """A sheet is about to be given to the printer.

    Attributes
    ----------
    key
        The print job's key.
    document
        The document's id.
    medium
        PWG 5101.1 self-describing name.
    photos, sheets
        How many photos on a sheet, and how many sheets.
    reprint_of
        The key of the sheet that it repeats by the attendant's order; nothing for a sitter's first.
    not_certain
        Names of the requirements that stayed doubtful and were accepted by the sitter.
    bill, price
        The key of the bill that the sheets are paid from, and their price in minor units of the currency; nothing where
        the booth is not paid.
    """

    key: str
    document: str
    medium: str
    photos: int
    sheets: int = 1
    reprint_of: str = ""
    not_certain: tuple[str, ...] = ()
    bill: str = ""
    price: int = 0


@dataclass(frozen=True, slots=True)
class SheetEnded:
    """The sheet of that key ended."""

    key: str
    end: SheetEnd


@dataclass(frozen=True, slots=True)
class FileHanded:
    """A photo for a document was taken away as a file, on a phone or a stick."""

    document: str
    way: FileWay


@dataclass(frozen=True, slots=True)
class VerdictOverridden:
    """An attendant passed the last shot of the session."""

    reason: OverrideReason


@dataclass(frozen=True, slots=True)
class Attended:
    """An attendant did something."""

    act: AttendantAct


@dataclass(frozen=True, slots=True)
class FaultBegan:
    """Something failed; the key of its error class."""

    key: str


@dataclass(frozen=True, slots=True)
class FaultsMended:
    """Everything that failed works again."""


@dataclass(frozen=True, slots=True)
class SessionEnded:
    """The sitter's files are gone and the session is over."""

    ending: Ending


Fact = (
    SessionBegan
    | LanguageChosen
    | DocumentChosen
    | ConsentGiven
    | ShotJudged
    | ShotLost
    | SheetBegun
    | SheetEnded
    | PaymentFact
    | FileHanded
    | VerdictOverridden
    | Attended
    | FaultBegan
    | FaultsMended
    | SessionEnded
)


@dataclass(frozen=True, slots=True)
class Stamped:
    """A fact with the wall time, in the zone of the booth, and the monotonic seconds at which it became one."""

    fact: Fact
    at: datetime
    at_s: float


class Ledger(Protocol):
    """Whoever keeps the facts; `kiosk.store.ledger`."""

    @property
    def trouble_in_words(self) -> str:
        """Why facts cannot be written, for the attendant; empty while all is well."""
        ...

    @property
    def unsent_count(self) -> int:
        """How many facts wait for the office's database."""
        ...

    def put(self, fact: Fact) -> None:
        """Take a fact and return at once; it is written in the order in which it came."""
        ...
