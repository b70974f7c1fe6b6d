"""Proof of colour: whether a printer's greys are neutral and its tones right, by the page that was printed on it.

The page goes through the queue's profile as a sheet does, so that the proof is of both together.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from datetime import date, timedelta

from kiosk.core.print_colour.chart import ColourChart
from kiosk.core.print_colour.judging import PageErrors

LARGEST_CAST = 5.0
"""The most a grey may be off neutral in a*b*: about two smallest visible differences of 2.3 (Mahy et al. 1994). A
certified press may have 3.0 (Idealliance G7, from memory), which a camera cannot tell with certainty (this project's
own limit)."""
LARGEST_TONE = 5.0
"""The most a grey's L* may be off its aim, as for the cast (this project's own limit)."""
LIGHTEST_BLACK = 25.0
"""The most L* of the darkest grey, against the paper: black ink on coated paper has 16 (ISO 12647-2:2013, from memory),
and a picture of the page adds light that the surface reflects (this project's own limit)."""
DUE_DAYS = 30
"""After so many days the attendant is reminded to measure a page again: ribbons and papers change with a box (this
project's own choice)."""
STALE_DAYS = 60
"""After so many days without a new page the colour counts as unproven (this project's own choice)."""


@dataclass(frozen=True, slots=True)
class ColourPage:
    """A colour page as it was printed.

    Attributes
    ----------
    chart
        Where its patches lie, with its number.
    set_up
        Fingerprint of driver, medium, options, profile and intent.
    """

    chart: ColourChart
    set_up: str
    printed_on: date


@dataclass(frozen=True, slots=True)
class ColourProof:
    """A measured page of one printer, medium and quality.

    Attributes
    ----------
    found
        What the page showed.
    set_up
        Fingerprint of driver, medium, options, profile and intent; a change of any of them voids the proof.
    printed_on
        The day of the page; a page that is measured again later proves nothing new.
    page
        The number of the page that was measured.
    drift
        How far a grey has moved since the page before, in L*a*b*; None where there is none of the same set-up.
    """

    found: PageErrors
    set_up: str
    printed_on: date
    page: int
    drift: float | None = None

    @property
    def due_on(self) -> date:
        """The day from which the attendant is reminded."""
        return self.printed_on + timedelta(days=DUE_DAYS)

    @property
    def ends_on(self) -> date:
        """The last day on which the colour counts as proven."""
        return self.printed_on + timedelta(days=STALE_DAYS)


def prove(page: ColourPage, found: PageErrors, before: ColourProof | None) -> ColourProof:
    """Return the proof after a page was measured; `before` is the one that it replaces."""
    number = page.chart.number
    if before is None or before.set_up != page.set_up:
        return ColourProof(found, page.set_up, page.printed_on, number)
    moved = before.drift if before.page == number else _moved(before.found, found)
    return ColourProof(found, page.set_up, page.printed_on, number, moved)


def refusal(proof: ColourProof | None, set_up: str, today: date) -> str:
    """Return why a printer's colour is not proven, or nothing where it is."""
    if proof is None:
        return "its colour was never measured"
    page = f"on the page of {proof.printed_on}"
    if proof.set_up != set_up:
        return f"its driver, medium, options or profile have changed since its colour page of {proof.printed_on}"
    cast, tone = proof.found.cast, proof.found.tone
    if not cast.error <= LARGEST_CAST:
        return (
            f"a grey was {cast.value:.1f} (± {cast.uncertainty:.1f}) off neutral {page}; {LARGEST_CAST:g} is the most"
        )
    if not tone.error <= LARGEST_TONE:
        return f"a grey's L* was {tone.value:.1f} (± {tone.uncertainty:.1f}) off {page}; {LARGEST_TONE:g} is the most"
    if not proof.found.black_l <= LIGHTEST_BLACK:
        return f"its black had an L* of {proof.found.black_l:.0f} {page}; {LIGHTEST_BLACK:g} is the most"
    if not proof.printed_on <= today:
        return f"its colour page is of {proof.printed_on}, which is after today, {today}"
    if today > proof.ends_on:
        return f"its last colour page is of {proof.printed_on}, more than {STALE_DAYS} days ago"
    return ""


def is_due(proof: ColourProof, today: date) -> bool:
    """Return whether it is time to measure a page again."""
    return today >= proof.due_on


def _moved(before: PageErrors, after: PageErrors) -> float:
    return max(math.dist(one, other) for one, other in zip(before.steps, after.steps, strict=True))
