"""What a try of a device found: one sentence with a number and, where it is bad, a next step."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Finding:
    """One thing that was looked at.

    Attributes
    ----------
    good
        Whether the booth can open with it.
    next_step
        What to do where it cannot.
    """

    name: str
    value: float | str
    unit: str
    good: bool
    sentence: str
    next_step: str = ""
