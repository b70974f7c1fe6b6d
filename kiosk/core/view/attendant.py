"""The view from which the attendant's screens and page are drawn, and the orders they give in return."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Literal

from kiosk.core.view.kept_sheet import KeptSheet

BadgeWay = Literal["new_photo", "kept_photo", "without_photo"]
"""The photo of a reprinted badge: a new one, the one stored for the organiser, or none."""
Mark = Literal["good", "look", "bad", "none"]
"""All is well; somebody should look at it; somebody must act; for information only."""
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
    "owed",
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
    "settle",
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
    """An order of the attendant.

    Depending on the name, `argument` is a digit or letter, the page to `show`, the reason of an `override`, a sheet's
    key, a bill's key, a language tag, an age, a guest's id, or the `BadgeWay` of a badge.
    """

    name: OrderName
    argument: str = ""


@dataclass(frozen=True, slots=True)
class StatusLine:
    """One line of the overview: its subject, its state in words, and a mark."""

    name: str
    words: str
    mark: Mark = "none"


@dataclass(frozen=True, slots=True)
class KnownGuest:
    """A person on the roster, as the attendant sees them.

    Attributes
    ----------
    values
        The roster's columns and their values.
    badges
        The outcome of each of the person's badges, in words.
    has_badge, has_photo
        Whether they may hold a badge already, and whether their photo is stored for the organiser.
    """

    id: str
    name: str
    values: tuple[tuple[str, str], ...] = ()
    badges: tuple[str, ...] = ()
    has_badge: bool = False
    has_photo: bool = False


@dataclass(frozen=True, slots=True)
class GuestList:
    """The state of the guest pages at an event.

    Attributes
    ----------
    query, found
        The letters typed, and the guests that match.
    chosen
        The guest whose page is open or whose values are being corrected; None while a new one is added.
    entered, at
        The value typed for each column, and the index of the column that has the keyboard focus.
    shift
        Whether the next letter is typed in the opposite case.
    doubles
        The guests who have the same name already.
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
    """Everything that the attendant's screens may show.

    Attributes
    ----------
    typed, number
        How many digits of the PIN are typed; the digits of a number that need not be hidden.
    wait_s, page_wait_s
        Whole seconds for which the PIN stays locked, at the booth's own desk and on the attendant's page.
    lines
        The overview.
    orders
        The orders that have an effect now.
    ages
        The ages in completed years at which the rules of the sitter's document change; empty if they never do.
    seat
        How to adjust the seat, in words; empty if it is right or nobody sits.
    kept
        The sheets that can be printed again, oldest first.
    owed
        Keys of the bills whose money is to be paid out, oldest first, each with its code and amount in words.
    reasons
        The reasons for an override, as keys and words.
    why_no_override
        Why no photo can be passed now; empty if one can.
    test_report, test_jpeg
        The results of the test shot in words, and its picture.
    guests, choices, ways
        The guests of an event; the permitted values of the focused field, if it has a fixed list; the ways in which
        the chosen guest's badge can be printed now.
    """

    page: DeskPage
    typed: int = 0
    number: str = ""
    is_checking: bool = False
    wait_s: int = 0
    page_wait_s: int = 0
    notice: str = ""
    lines: tuple[StatusLine, ...] = ()
    orders: frozenset[OrderName] = frozenset()
    ages: tuple[int, ...] = ()
    seat: str = ""
    kept: tuple[KeptSheet, ...] = ()
    owed: tuple[tuple[str, str], ...] = ()
    reasons: tuple[tuple[str, str], ...] = ()
    why_no_override: str = ""
    is_testing: bool = False
    test_report: tuple[str, ...] = ()
    test_jpeg: bytes = field(default=b"", repr=False)
    guests: GuestList = GuestList()
    choices: tuple[str, ...] = ()
    ways: tuple[BadgeWay, ...] = ()
