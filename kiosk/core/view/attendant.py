"""What the attendant's screens and page may know, and what they may order."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Literal

from kiosk.core.view.kept_sheet import KeptSheet

BadgeWay = Literal["new_photo", "kept_photo", "without_photo"]
"""How an attendant lets a badge be printed: with a new photo, with the one kept for the organiser, or without."""
Mark = Literal["good", "look", "bad", "none"]
"""All is well; somebody should look at it; somebody must; it only tells."""
DeskPage = Literal[
    "closed",
    "pin",
    "state",
    "paper",
    "override",
    "help",
    "ease",
    "age",
    "shot",
    "reprint",
    "sure_shut",
    "sure_end",
    "guests",
    "guest",
    "entry",
    "doubles",
]
"""A page of the attendant's desk."""
OrderName = Literal[
    "open",
    "leave",
    "digit",
    "erase",
    "enter",
    "show",
    "release",
    "reprint",
    "answer",
    "override",
    "language",
    "ease",
    "age",
    "start_again",
    "test_shot",
    "shut",
    "open_again",
    "end",
    "letter",
    "shift",
    "guest",
    "walk_in",
    "edit",
    "value",
    "next_field",
    "save",
    "badge",
]


@dataclass(frozen=True, slots=True)
class DeskIntent:
    """What the attendant wants.

    `argument` is a digit or letter, a page for `show`, a reason for `override`, a key, a tag, an age, a guest's id, or
    for `badge` how it is printed.
    """

    name: OrderName
    argument: str = ""


@dataclass(frozen=True, slots=True)
class StatusLine:
    """One thing that the attendant is told: what it is about, how it stands in words, and a sign for it."""

    name: str
    words: str
    mark: Mark = "none"


@dataclass(frozen=True, slots=True)
class KnownGuest:
    """Somebody on the roster, as the attendant sees them.

    Attributes
    ----------
    values
        What the roster says of them, by column.
    badges
        What became of each of their badges, in words.
    has_badge, has_photo
        Whether one may be in their hands, and whether their photo is kept for the organiser.
    """

    id: str
    name: str
    values: tuple[tuple[str, str], ...] = ()
    badges: tuple[str, ...] = ()
    has_badge: bool = False
    has_photo: bool = False


@dataclass(frozen=True, slots=True)
class GuestList:
    """Where the attendant stands with the guests of an event.

    Attributes
    ----------
    query, found
        The letters typed, and who fits them.
    chosen
        Whose page is open, or whose values are corrected; None where somebody is added.
    entered, at
        What is typed for each column, and which of them has the keys.
    shift
        Whether the next letter is written the other way, small or large.
    doubles
        Who has the name already.
    is_saving
        Whether the roster is being written.
    """

    query: str = field(default="", repr=False)
    found: tuple[KnownGuest, ...] = field(default=(), repr=False)
    chosen: KnownGuest | None = field(default=None, repr=False)
    entered: tuple[tuple[str, str], ...] = field(default=(), repr=False)
    at: int = 0
    shift: bool = False
    doubles: tuple[KnownGuest, ...] = field(default=(), repr=False)
    is_saving: bool = False


@dataclass(frozen=True, slots=True)
class DeskView:
    """All that the attendant's screens may know.

    Attributes
    ----------
    typed
        How many digits of the PIN are typed; `number` is what is typed of a number that may be seen.
    wait_s
        Whole seconds for which no PIN is taken.
    lines
        The state of everything, what needs somebody first.
    orders
        What can be done now, in order.
    ages
        From which ages in completed years the sitter's document has rules of its own; none where all are alike.
    seat
        What to do about the seat, in words; nothing where it is right or nobody sits.
    kept
        The sheets that may be printed again, oldest first.
    reasons
        Why a photo may be passed: keys and words. `why_no_override` says why there is none to pass.
    test_told, test_jpeg
        What the test shot told, and its picture.
    guests, choices, ways
        The guests of an event; what the field in hand can say, where it is one of a few; how the chosen guest's badge
        can be printed now.
    """

    page: DeskPage
    typed: int = 0
    number: str = ""
    is_checking: bool = False
    wait_s: int = 0
    notice: str = ""
    lines: tuple[StatusLine, ...] = ()
    orders: frozenset[OrderName] = frozenset()
    ages: tuple[int, ...] = ()
    seat: str = ""
    kept: tuple[KeptSheet, ...] = ()
    reasons: tuple[tuple[str, str], ...] = ()
    why_no_override: str = ""
    is_testing: bool = False
    test_told: tuple[str, ...] = ()
    test_jpeg: bytes = field(default=b"", repr=False)
    guests: GuestList = GuestList()
    choices: tuple[str, ...] = ()
    ways: tuple[BadgeWay, ...] = ()
