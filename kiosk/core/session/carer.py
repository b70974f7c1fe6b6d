"""Whose photo it is: somebody who follows the words, a small child with a carer, or a baby that lies below the camera.

A carer reads, and moves the child. The rules are the document's own for the age; nothing that they do not ask is
asked here.
"""

from __future__ import annotations

import itertools
from collections.abc import Sequence

from kiosk.core.base.care import Care

CHILD_BELOW_YEARS = 6
"""Below it a carer reads and helps: the age up to which documents relax their rules for children (specs)."""
BABY_BELOW_YEARS = 1
"""Below it a baby may lie: it does not hold its head by itself."""
CHILD_HOLD_S = 0.4
"""How long everything must hold for a child: as long as one looks at a thing that is held up (practice)."""
CHILD_REST_SHARE = 0.06
"""How far a child's eyes may drift meanwhile, of the head height: twice an adult's (practice)."""


def care_of(ages: Sequence[int], age_years: int, *, can_lie: bool) -> Care:
    """Return how a sitter of that age is coached.

    Parameters
    ----------
    ages
        The ages from which the document has other rules, from 0 on (`Document.ages`); empty where all have the same.
    age_years
        One of them: the sitter is as old or older, and younger than the next.
    can_lie
        Whether the booth's camera can look down on a baby that lies.
    """
    below = dict(itertools.pairwise(ages)).get(age_years)
    if below is None or below > CHILD_BELOW_YEARS:
        return "self"
    return "lying" if can_lie and below <= BABY_BELOW_YEARS else "child"
