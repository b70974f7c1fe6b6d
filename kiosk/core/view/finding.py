"""What was found before opening, as values that a command, a screen or a page can show."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Literal

Grade = Literal["ok", "warn", "stop"]
Subject = Literal["camera", "light", "printer", "paper", "documents", "machine", "program", "site"]


@dataclass(frozen=True, slots=True)
class Finding:
    """One thing that was looked at.

    Attributes
    ----------
    good
        Whether it is as it should be.
    next_step
        What to do where it is not.
    stops
        Whether the booth takes no sitter before it is mended.
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
        """How it stands: `stop` keeps the booth shut, `warn` does not."""
        return "ok" if self.good else "stop" if self.stops else "warn"


def stopping(findings: Iterable[Finding]) -> Finding | None:
    """Return the first finding that keeps the booth shut, or None where it may open."""
    return next((finding for finding in findings if finding.grade == "stop"), None)
