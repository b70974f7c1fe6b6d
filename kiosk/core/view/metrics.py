"""What a monitoring server may read of a booth: how it stands now, and what it has counted since the program started.

There is no person, no picture, no name and no session's key in it, and no time at which something happened.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date

from kiosk.core.base.decision import Word
from kiosk.core.view.sitter import State


@dataclass(frozen=True, slots=True)
class Counts:
    """What has been counted since the program started.

    Attributes
    ----------
    frames, pictures
        The turns of the frame loop, and the live pictures that were looked at.
    sessions, shots, sheets
        By ending; by verdict, or `lost`; by how they ended.
    words
        How often each requirement, by its name, got each word.
    faults
        The reports of each error, by its key.
    standing
        Keys of what has failed since everything last worked.
    """

    frames: int = 0
    pictures: int = 0
    sessions: Mapping[str, int] = field(default_factory=dict)
    shots: Mapping[str, int] = field(default_factory=dict)
    sheets: Mapping[str, int] = field(default_factory=dict)
    words: Mapping[tuple[str, Word], int] = field(default_factory=dict)
    faults: Mapping[str, int] = field(default_factory=dict)
    standing: frozenset[str] = frozenset()


@dataclass(frozen=True, slots=True)
class Metrics:
    """How the booth stands.

    Attributes
    ----------
    state, state_s
        The session's state, and for how many seconds it has been that.
    works
        Whether each part works, by its name.
    sheets_left, few_sheets
        The sheets left by the count, None where nobody has counted them; and at how many paper counts as low.
    unsent_count
        How many facts wait for the office's database; 0 where there is none.
    """

    state: State
    state_s: float
    works: Mapping[str, bool]
    sheets_left: int | None
    few_sheets: int
    unsent_count: int
    counts: Counts


@dataclass(frozen=True, slots=True)
class Installed:
    """What does not change while the program runs.

    Attributes
    ----------
    versions
        The version of the program, of its rules and of each part, by name.
    rules_read_on, rules_due_on
        The day on which the oldest rules on offer were read or confirmed, and the first on which they count as old;
        None where nothing is on offer.
    """

    versions: Mapping[str, str]
    rules_read_on: date | None = None
    rules_due_on: date | None = None
