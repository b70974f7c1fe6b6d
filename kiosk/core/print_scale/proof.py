"""Proof of scale: whether a printer may print documents, by the ruler page that was printed on it and measured.

A page is printed against the scale known by then. What is measured on it is what was left of the printer's error, and
decides; both together are the whole scale, against which the next sheet is moved.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import date, timedelta

from kiosk.core.print_scale.ruler import Ruler
from kiosk.core.print_scale.scale import Scale

LARGEST_ERROR = 0.005
"""The most a print may differ from its size: 0.5 % is 0.2 mm on a photo of 35 x 45 mm (this project's own limit)."""
DUE_DAYS = 60
"""After so many days the attendant is reminded to measure a page again (this project's own choice)."""
STALE_DAYS = 90
"""After so many days without a new page no documents are printed (this project's own choice)."""


@dataclass(frozen=True, slots=True)
class RulerPage:
    """A ruler page as it was printed.

    Attributes
    ----------
    number
        Printed on it, so that it is not mistaken for an older one.
    ruler
        Where its marks and rules lie.
    sent
        The scale against which it was moved.
    set_up
        Fingerprint of driver, medium and options.
    """

    number: int
    ruler: Ruler
    sent: Scale
    set_up: str
    printed_on: date


@dataclass(frozen=True, slots=True)
class Proof:
    """A measured page of one printer, medium and quality.

    Attributes
    ----------
    found
        What the measured page showed.
    whole
        What the printer does without any counter-move: that of the page, and what was found on it.
    set_up
        Fingerprint of driver, medium and options; a change of any of them voids the proof.
    measured_on
        The day of the page: an old one that is measured again proves nothing new.
    page
        The number of the page that was measured.
    """

    found: Scale
    whole: Scale
    set_up: str
    measured_on: date
    page: int = 0

    @property
    def due_on(self) -> date:
        """The day from which the attendant is reminded."""
        return self.measured_on + timedelta(days=DUE_DAYS)

    @property
    def ends_on(self) -> date:
        """The last day on which it lets documents be printed."""
        return self.measured_on + timedelta(days=STALE_DAYS)


def next_page(before: Proof | None, last: RulerPage | None, ruler: Ruler, set_up: str, today: date) -> RulerPage:
    """Return the page to print: with rules of its own, and against the scale known as long as nothing has changed."""
    known = before.whole if before is not None and before.set_up == set_up else Scale()
    number = last.number + 1 if last is not None else 1
    return RulerPage(number, replace(ruler, number=number), known, set_up, today)


def prove(page: RulerPage, found: Scale) -> Proof:
    """Return the proof after a page was measured."""
    return Proof(found, page.sent.after(found), page.set_up, page.printed_on, page.number)


def refusal(proof: Proof | None, set_up: str, today: date) -> str:
    """Return why a printer must not print documents, or nothing where it may."""
    if proof is None:
        return "its scale was never measured"
    if proof.set_up != set_up:
        return f"its driver, medium or options have changed since its scale was measured on {proof.measured_on}"
    for name, axis in (("width", proof.found.x), ("height", proof.found.y)):
        if not axis.error <= LARGEST_ERROR:
            return (
                f"its {name} was {100 * (axis.scale - 1):+.2f} % off (± {100 * axis.scale_uncertainty:.2f} %) "
                f"when measured on {proof.measured_on}; {100 * LARGEST_ERROR:g} % is the most"
            )
    if not proof.measured_on <= today:
        return f"its scale was measured on {proof.measured_on}, which is after today, {today}"
    if today > proof.ends_on:
        return f"its scale was last measured on {proof.measured_on}, more than {STALE_DAYS} days ago"
    return ""


def is_due(proof: Proof, today: date) -> bool:
    """Return whether it is time to measure a page again."""
    return today >= proof.due_on


def drift(before: Proof, after: Proof) -> float:
    """Return how far the printer's own scale has moved between two proofs, as a fraction, along the worse axis."""
    return max(
        abs(new.scale / old.scale - 1)
        for old, new in ((before.whole.x, after.whole.x), (before.whole.y, after.whole.y))
    )
