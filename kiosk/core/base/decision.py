"""Decide whether an uncertain value lies inside its limits, by the decision rules of JCGM 106:2012, clause 8.

Simple acceptance (8.2) takes the value as it is. Guarded acceptance (8.3.2) accepts it only if it lies inside by more
than a guard band; guarded rejection (8.3.3) rejects it only if it lies outside by more than one. The guard band w is
one standard uncertainty u, that is r = 1/2 in w = r U with U = 2 u (clauses and symbols from memory).

The standard has two outcomes. Here a value inside a guard band is neither passed nor refused but referred to a person.
The exception is the benefit of the doubt: a value outside passes within the guard band, and is rejected only beyond U
itself, with r = 1, the standard's usual choice.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Literal

from kiosk.core.base.geometry import Range
from kiosk.core.base.measurement import Measurement

Word = Literal["pass", "fail", "refer", "unmeasured", "advise"]
"""The outcome of one requirement; `advise` is reported but does not affect the verdict."""

Decision = Literal["simple", "guarded_acceptance", "guarded_rejection", "guarded", "benefit_of_doubt"]
Consequence = Literal["refuse", "refer", "advise"]
"""What a value outside its limits leads to: the photo is refused, referred to a person, or reported as advice."""

DEFAULT: Decision = "guarded"
"""The rule of a limit that names none: a value within one standard uncertainty of the limit is referred."""

_PASSES, _FAILS = 0, 1
_RULES: Mapping[Decision, tuple[int, int]] = {
    "simple": (0, 0),
    "guarded_acceptance": (1, 0),
    "guarded_rejection": (0, -1),
    "guarded": (1, -1),
    "benefit_of_doubt": (-1, -2),
}
"""The depths inside the limits, in standard uncertainties, at which a value starts to pass and below which it fails."""

HALF_OF_ALL = 0.6745
"""Half of a normal distribution lies within this many standard deviations of its mean."""


@dataclass(frozen=True, slots=True)
class Tolerance:
    """Limits, with the rule that decides whether a value lies inside them."""

    range: Range
    decision: Decision = DEFAULT

    def clearance(self, value: float, uncertainty: float) -> float:
        """Return the margin by which a value passes, in its own unit; negative where it does not pass."""
        return self._inside(value) - _RULES[self.decision][_PASSES] * uncertainty

    def accepted(self, uncertainty: float) -> Range:
        """Return the range of values that pass; it is empty where the guard bands overlap."""
        return self._narrowed(_RULES[self.decision][_PASSES] * uncertainty)

    def unrefused(self, uncertainty: float) -> Range:
        """Return the range of values that do not fail."""
        return self._narrowed(_RULES[self.decision][_FAILS] * uncertainty)

    def _narrowed(self, guard: float) -> Range:
        low, high = self.range.low, self.range.high
        return Range(None if low is None else low + guard, None if high is None else high - guard)

    def word(self, measurement: Measurement) -> Word:
        """Return the outcome for a measurement.

        No value passes where even one in the middle of the limits would be as likely to lie outside as inside. The
        risk of a wrong pass would then exceed one half, the worst that simple acceptance allows (at the limit itself).
        """
        if measurement.value is None:
            return "unmeasured"
        if self._inside(measurement.value) < _RULES[self.decision][_FAILS] * measurement.uncertainty:
            return "fail"
        width = self.range.width
        is_meaningful = width is None or width / 2 >= HALF_OF_ALL * measurement.uncertainty
        return "pass" if is_meaningful and self.clearance(measurement.value, measurement.uncertainty) >= 0 else "refer"

    def _inside(self, value: float) -> float:
        """Return the distance to the nearer limit, negative outside; infinite where both ends are open."""
        low, high = self.range.low, self.range.high
        return min(
            float("inf") if low is None else value - low,
            float("inf") if high is None else high - value,
        )


def after_consequence(word: Word, consequence: Consequence) -> Word:
    """Return the outcome, softened to the worst that the requirement's consequence allows."""
    if consequence == "advise" and word != "pass":
        return "advise"
    return "refer" if consequence == "refer" and word == "fail" else word
