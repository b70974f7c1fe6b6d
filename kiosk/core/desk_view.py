"""What the attendant's screens and page may know, and what they may order."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Literal

from kiosk.core.reprint import KeptSheet

Mark = Literal["good", "look", "bad", "none"]
"""All is well; somebody should look at it; somebody must; it only tells."""
DeskPage = Literal[
    "closed", "pin", "state", "paper", "override", "help", "ease", "age", "shot", "reprint", "sure_shut", "sure_end"
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
]


@dataclass(frozen=True, slots=True)
class Order:
    """What the attendant wants; `argument` is a digit, a page for `show`, a reason, a key, a tag or an age."""

    name: OrderName
    argument: str = ""


@dataclass(frozen=True, slots=True)
class Line:
    """One thing that the attendant is told: what it is about, how it stands in words, and a sign for it."""

    name: str
    words: str
    mark: Mark = "none"


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
    """

    page: DeskPage
    typed: int = 0
    number: str = ""
    is_checking: bool = False
    wait_s: int = 0
    notice: str = ""
    lines: tuple[Line, ...] = ()
    orders: frozenset[OrderName] = frozenset()
    ages: tuple[int, ...] = ()
    seat: str = ""
    kept: tuple[KeptSheet, ...] = ()
    reasons: tuple[tuple[str, str], ...] = ()
    why_no_override: str = ""
    is_testing: bool = False
    test_told: tuple[str, ...] = ()
    test_jpeg: bytes = field(default=b"", repr=False)
