"""Findings of the checks before opening, as values that a command, a screen or a page can show."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Literal

Grade = Literal["ok", "warn", "stop"]
Subject = Literal["camera", "light", "printer", "paper", "payment", "documents", "machine", "program", "site"]


@dataclass(frozen=True, slots=True)
class Finding:
    """The result of one check.

    Attributes
    ----------
    good
        Whether the check passed.
    next_step
        What to do if it did not.
    stops
        Whether a failure keeps the booth closed.
    """

    name: str
    value: float | str
    unit: str
    good: bool
    sentence: str
    next_step: str = ""
    subject: Subject = "camera"
    stops: bool = False

    @property
    def grade(self) -> Grade:
        """The severity: `stop` keeps the booth closed, `warn` does not."""
        return "ok" if self.good else "stop" if self.stops else "warn"


def stopping(findings: Iterable[Finding]) -> Finding | None:
    """Return the first finding that keeps the booth closed, or None if it may open."""
    return next((finding for finding in findings if finding.grade == "stop"), None)
