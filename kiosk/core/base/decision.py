"""When a number with its uncertainty counts as inside its limits: the decision rules of JCGM 106:2012, clause 8.

Simple acceptance (8.2) takes the number as it is. Guarded acceptance (8.3.2) asks it to lie inside by a guard band,
guarded rejection (8.3.3) refuses it only outside by one; the guard band w is one standard uncertainty u, r = 1/2 in
w = r U with U = 2 u (clauses and symbols from memory). The standard knows two outcomes; here a number in a guard band
is neither passed nor refused but referred to a person, except under the benefit of the doubt, which is the standard's
own guarded rejection: what is not surely outside passes.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Literal

from kiosk.core.base.geometry import Range
from kiosk.core.base.measurement import Measurement

Word = Literal["pass", "fail", "refer", "unmeasured", "advise"]
"""How a requirement stands; `advise` is told and counts for nothing."""

Decision = Literal["simple", "guarded_acceptance", "guarded_rejection", "guarded", "benefit_of_doubt"]
Consequence = Literal["refuse", "refer", "advise"]
"""What follows where a number lies outside: the photo is refused, a person looks at it, or it is only told."""

DEFAULT: Decision = "guarded"
"""Of a limit that names no rule: neither passed nor refused within one standard uncertainty of the limit."""

_PASSES, _FAILS = 0, 1
_RULES: Mapping[Decision, tuple[int, int]] = {
    "simple": (0, 0),
    "guarded_acceptance": (1, 0),
    "guarded_rejection": (0, -1),
    "guarded": (1, -1),
    "benefit_of_doubt": (-1, -1),
}
"""How far inside the limits a number passes from, and short of which it fails, in standard uncertainties."""

HALF_OF_ALL = 0.6745
"""Standard deviations about the mean of a normal distribution that hold half of it."""


@dataclass(frozen=True, slots=True)
class Tolerance:
    """Limits, and the rule that decides whether a number lies inside them."""

    range: Range
    decision: Decision = DEFAULT

    def clearance(self, value: float, uncertainty: float) -> float:
        """Return how far inside the place a number lies from which it passes, in its own unit; negative outside."""
        return self._inside(value) - _RULES[self.decision][_PASSES] * uncertainty

    def accepted(self, uncertainty: float) -> Range:
        """Return the values that pass; the range is empty where the guard bands meet."""
        guard = _RULES[self.decision][_PASSES] * uncertainty
        low, high = self.range.low, self.range.high
        return Range(None if low is None else low + guard, None if high is None else high - guard)

    def word(self, measurement: Measurement) -> Word:
        """Return the word for a number.

        Where even a number in the middle of the limits would as likely lie outside as inside, none passes: the risk of
        a wrong pass is then larger than simple acceptance bears, which is one half, at the limit.
        """
        if measurement.value is None:
            return "unmeasured"
        if self._inside(measurement.value) < _RULES[self.decision][_FAILS] * measurement.uncertainty:
            return "fail"
        width = self.range.width
        tells = width is None or width / 2 >= HALF_OF_ALL * measurement.uncertainty
        return "pass" if tells and self.clearance(measurement.value, measurement.uncertainty) >= 0 else "refer"

    def _inside(self, value: float) -> float:
        """Return how far inside the limits a number lies; infinitely where there are none."""
        low, high = self.range.low, self.range.high
        return min(
            float("inf") if low is None else value - low,
            float("inf") if high is None else high - value,
        )


def after_consequence(word: Word, consequence: Consequence) -> Word:
    """Return the word after what its requirement can lead to: only some refuse a photo, and advice counts for none."""
    if consequence == "advise" and word != "pass":
        return "advise"
    return "refer" if consequence == "refer" and word == "fail" else word
