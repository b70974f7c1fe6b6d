"""Findings as a page of text, for a screen of 80 columns."""

from __future__ import annotations

import textwrap
from collections.abc import Sequence

from kiosk.core.view.finding import Finding, Subject

HEADINGS: dict[Subject, str] = {
    "camera": "Camera",
    "light": "Backdrop and light",
    "printer": "Printer",
    "paper": "Paper",
    "documents": "Documents",
    "machine": "Machine",
    "program": "Program",
    "site": "This booth",
}
WIDTH = 78


def table(findings: Sequence[Finding]) -> str:
    """Return one line a finding under the heading of its subject, the next step below those that are not good."""
    lines: list[str] = []
    for subject, heading in HEADINGS.items():
        of_it = [finding for finding in findings if finding.subject == subject]
        if of_it:
            lines.append(heading)
        for finding in of_it:
            lines += _wrapped(finding.sentence, f"  {finding.grade:5}")
            if not finding.good:
                lines += _wrapped(finding.next_step, "       > ")
    return "\n".join([*lines, "", summary(findings)])


def summary(findings: Sequence[Finding]) -> str:
    """Return in one sentence whether the booth may open."""
    stop, warn = (sum(finding.grade == grade for finding in findings) for grade in ("stop", "warn"))
    if stop:
        return f"The booth stays shut: {stop} of {len(findings)} stop it, {warn} more are to be looked at."
    if warn:
        return f"The booth can open; {warn} of {len(findings)} are to be looked at."
    return f"The booth is ready: all {len(findings)} are as they should be."


def _wrapped(text: str, first: str) -> list[str]:
    rest = " " * len(first)
    return textwrap.wrap(text, WIDTH, initial_indent=first, subsequent_indent=rest, break_on_hyphens=False)
