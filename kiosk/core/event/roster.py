"""An event's roster: the rows of a list become people, or problems with a line number and a reason.

A person is an id and the values of the columns that badges print. Nothing here reads a file or stores anybody.
"""

from __future__ import annotations

import unicodedata
from collections import Counter
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from functools import lru_cache
from typing import Literal

BadgeState = Literal["begun", "printed", "failed", "unknown", "made", "taken"]
"""`made` is a badge printed from a file before its person has come, and `taken` the same once they have it."""

ID, NAME = "id", "name"
REQUIRED = (ID, NAME)

LONGEST = 120
"""Maximum number of characters in a value; anything longer is a note that slipped into the list."""

LONGEST_ID = 64

_STRANGE = ("Cc", "Cn", "Co", "Cs")
"""Unicode categories of characters that no font can print: controls, unassigned, private use, surrogates."""

KNOWN_HEADINGS: Mapping[str, tuple[str, ...]] = {
    ID: ("id", "number", "no", "ticket", "ticket number", "registration", "registration id", "code", "reference"),
    NAME: ("name", "full name", "badge name", "display name"),
    "given": ("given name", "first name", "forename", "given"),
    "family": ("family name", "last name", "surname", "family"),
    "organisation": ("organisation", "organization", "company", "affiliation", "institution", "employer"),
    "role": ("role", "type", "category", "ticket type", "participant type"),
}
"""English headings under which lists have each column, the likeliest first (practice of the trade)."""


@dataclass(frozen=True, slots=True)
class ListRow:
    """One row of a list: its line number in the file (the heading is line 1), and its cells by heading."""

    line: int
    cells: Mapping[str, str]


@dataclass(frozen=True, slots=True)
class Person:
    """An expected guest. `values` are the badge's columns, including id and name."""

    id: str
    values: Mapping[str, str]

    @property
    def name(self) -> str:
        """The name on the badge."""
        return self.values[NAME]


@dataclass(frozen=True, slots=True)
class Badge:
    """A badge whose printing was started; a person's first has number 1, each reprint one more.

    Attributes
    ----------
    arrived_at, begun_at, ended_at
        When the person was found at the desk, when the badge was sent to the printer, and when its outcome was known.
    """

    person: str
    number: int
    station: str
    state: BadgeState
    with_photo: bool
    arrived_at: datetime
    begun_at: datetime
    ended_at: datetime | None = None


def last_held(badges: Sequence[Badge]) -> Badge | None:
    """Return the last of a person's badges that the person may hold, that is, one that did not fail."""
    return next((badge for badge in reversed(badges) if badge.state != "failed"), None)


@dataclass(frozen=True, slots=True)
class Expected:
    """A person with the badges started for them, in order.

    Attributes
    ----------
    perhaps_at
        A station that is out of touch and may have printed a badge that nobody else knows of; empty for none.
    """

    person: Person
    walk_in: bool
    badges: tuple[Badge, ...]
    perhaps_at: str = ""

    @property
    def printed(self) -> Badge | None:
        """The last badge that the person may hold."""
        return last_held(self.badges)

    @property
    def may_have_badge(self) -> bool:
        """Whether only an attendant can say that a badge is to be printed."""
        return self.printed is not None or bool(self.perhaps_at)


@dataclass(frozen=True, slots=True)
class Problem:
    """Why a row cannot be imported."""

    line: int
    column: str
    reason: str


Mapped = Mapping[str, tuple[str, ...]]
"""For each column of the badge, the headings of the list whose cells are joined for it by a space."""


def guess_columns(headings: Sequence[str]) -> Mapped:
    """Guess from the headings of a list which column each of them stands for.

    Given and family name are joined if the list has no full name. Unknown headings become columns of that name.
    """
    plain = {_plain(heading): heading for heading in reversed(headings)}
    found = {
        column: plain[known]
        for column, names in KNOWN_HEADINGS.items()
        if (known := next((name for name in names if name in plain), None)) is not None
    }
    given_and_family = tuple(found.pop(column) for column in ("given", "family") if column in found)
    mapped: dict[str, tuple[str, ...]] = {column: (heading,) for column, heading in found.items()}
    if NAME not in mapped and given_and_family:
        mapped[NAME] = given_and_family
    taken = {heading for headings_of in mapped.values() for heading in headings_of}
    others = {column_name(heading): (heading,) for heading in headings if heading not in taken and column_name(heading)}
    return {**others, **mapped}


def column_name(heading: str) -> str:
    """Return the column name for a heading: lower-case letters, digits and underscores, starting with a letter."""
    letters = "".join(letter if letter.isascii() and letter.isalnum() else "_" for letter in _plain(heading))
    return "_".join(part for part in letters.split("_") if part).lstrip("0123456789_")


def read_rows(
    rows: Iterable[ListRow], mapped: Mapped, unprintable: Callable[[Mapping[str, str]], Iterable[str]]
) -> tuple[tuple[Person, ...], tuple[Problem, ...]]:
    """Return the people of a list, and its problems; empty rows are skipped.

    Values are normalised (Unicode NFC) and runs of spaces collapsed. Problems are a missing id or name, a duplicate id,
    a value that is too long, and characters that no font can print (controls, unassigned, private use).

    Parameters
    ----------
    rows, mapped
        The list, and the columns that its headings stand for.
    unprintable
        Yields the reasons why a badge with a person's values cannot be printed.
    """
    people: list[Person] = []
    problems: list[Problem] = []
    lines: dict[str, int] = {}
    for row in rows:
        values = {column: _joined(row, headings) for column, headings in mapped.items()}
        if not any(values.values()):
            continue
        wrong = [Problem(row.line, column, reason) for column, reason in _faults(values)]
        identity = values.get(ID, "")
        if identity and identity in lines:
            wrong.append(Problem(row.line, ID, f"{identity!r} is already on line {lines[identity]}"))
        lines.setdefault(identity, row.line)
        if not wrong:
            wrong = [Problem(row.line, "badge", reason) for reason in unprintable(values)]
        problems += wrong
        if not wrong:
            people.append(Person(identity, values))
    return tuple(people), tuple(problems)


def namesakes(people: Iterable[Person]) -> tuple[str, ...]:
    """Return the names that occur more than once, for a warning: they may be one person entered twice."""
    names = [(search_key(person.name), person.name) for person in people]
    counts, shown = Counter(key for key, _ in names), dict(names)
    return tuple(shown[key] for key, count in counts.items() if count > 1)


def search_key(text: str) -> str:
    """Return a text in the form used for searching: without case, accents and punctuation (Unicode NFKD, case folding).

    Vowel signs of Indic scripts and of Thai are kept, as they act as letters; their combining class is 0.
    """
    letters = unicodedata.normalize("NFKD", text.casefold())
    return " ".join("".join(map(_searched, letters)).split())


@lru_cache(20_000)
def _searched(letter: str) -> str:
    """Return what stands for a letter in a search: nothing for an accent, a space for punctuation."""
    if unicodedata.combining(letter):
        return ""
    return letter if letter.isalnum() or unicodedata.category(letter).startswith("M") else " "


def can_be_id(text: str) -> bool:
    """Return whether a text can be an id: not empty, at most `LONGEST_ID` characters, and all of them printable."""
    return 0 < len(text) <= LONGEST_ID and not any(unicodedata.category(letter) in _STRANGE for letter in text)


def _faults(values: Mapping[str, str]) -> Iterable[tuple[str, str]]:
    for column in REQUIRED:
        if not values.get(column):
            yield column, "it is empty"
    for column, value in values.items():
        longest = LONGEST_ID if column == ID else LONGEST
        if len(value) > longest:
            yield column, f"it has {len(value)} characters; {longest} are the most"
        if not value.isprintable() and (strange := [each for each in value if unicodedata.category(each) in _STRANGE]):
            yield column, f"it holds a character that cannot be printed (U+{ord(strange[0]):04X})"


def _joined(row: ListRow, headings: tuple[str, ...]) -> str:
    text = " ".join(row.cells.get(heading, "") for heading in headings)
    return " ".join(unicodedata.normalize("NFC", text).split())


def _plain(heading: str) -> str:
    return " ".join(heading.casefold().replace("_", " ").replace("-", " ").split())
