"""Findings as text for a terminal of 80 columns."""

from __future__ import annotations

import textwrap
from collections.abc import Sequence

from kiosk.core.view.finding import Finding, Subject

HEADINGS: dict[Subject, str] = {
    "camera": "Camera",
    "light": "Backdrop and light",
    "printer": "Printer",
    "paper": "Paper",
    "payment": "Payment",
    "documents": "Documents",
    "machine": "Machine",
    "program": "Program",
    "site": "This booth",
}
WIDTH = 78


def table(findings: Sequence[Finding]) -> str:
    """Return one line per finding under its subject, with the next step below those that are not good."""
    lines: list[str] = []
    for subject, heading in HEADINGS.items():
        matching = [finding for finding in findings if finding.subject == subject]
        if matching:
            lines.append(heading)
        for finding in matching:
            lines += _wrapped(finding.sentence, f"  {finding.grade:5}")
            if not finding.good:
                lines += _wrapped(finding.next_step, "       > ")
    return "\n".join([*lines, "", summary(findings)])


def summary(findings: Sequence[Finding]) -> str:
    """Return one sentence on whether the booth may open."""
    stop, warn = (sum(finding.grade == grade for finding in findings) for grade in ("stop", "warn"))
    if stop:
        return f"The booth stays closed: {stop} of {len(findings)} checks prevent opening, {warn} more need attention."
    if warn:
        return f"The booth can open; {warn} of {len(findings)} checks need attention."
    return f"The booth is ready: all {len(findings)} checks passed."


def _wrapped(text: str, first: str) -> list[str]:
    rest = " " * len(first)
    return textwrap.wrap(text, WIDTH, initial_indent=first, subsequent_indent=rest, break_on_hyphens=False)
