"""A burst: several stills in one breath, of which the one that conforms best is kept.

A person blinks, and live landmarks are a little off; of three stills within two seconds one is usually better. What a
still is worth is its verdict, then how many requirements speak against it, then how far its numbers lie inside the
place from which they pass: the smallest clearance first, then the next.
"""

from __future__ import annotations

from dataclasses import dataclass, field, replace

from kiosk.core.base.decision import Tolerance
from kiosk.core.base.ticket import Ticket
from kiosk.core.judging.conformance import Assessment, Judgement, Verdict
from kiosk.core.judging.override import unprintable
from kiosk.core.session.events import Still

CYCLE_S = 1.5
"""A still that took longer than this from the order is the last of its burst: nobody holds still for three of them."""
ENOUGH = 3.0
"""Clearance beyond which a number is no better, in standard uncertainties."""

_ORDER: tuple[Verdict, ...] = ("unmeasurable", "fail", "refer", "pass")

Worth = tuple[int, int, int, tuple[float, ...]]


def clearance(finding: Assessment) -> float:
    """Return how far a number lies inside where it begins to pass, in standard uncertainties, `ENOUGH` either way.

    Where that is, the limit's own rule of decision says (`kiosk.core.base.decision`). What was not measured has none.
    """
    value, uncertainty = finding.measurement.value, finding.measurement.uncertainty
    if value is None:
        return -ENOUGH
    clear = Tolerance(finding.limit, finding.decision).clearance(value, uncertainty)
    if uncertainty <= 0:
        return ENOUGH if clear >= 0 else -ENOUGH
    return min(max(clear / uncertainty, -ENOUGH), ENOUGH)


def is_better(new: Still, kept: Still) -> bool:
    """Return whether a still takes the place of one that is kept, which can be printed."""
    return worth(new.judgement) > worth(kept.judgement) and not unprintable(new.judgement)


def worth(judgement: Judgement) -> Worth:
    """Return what a still is worth: of two, the one with the greater worth is kept."""
    words = [finding.word for finding in judgement.findings]
    failed, doubtful = words.count("fail"), words.count("refer") + words.count("unmeasured")
    clear = tuple(sorted(clearance(finding) for finding in judgement.findings))
    return _ORDER.index(judgement.verdict), -failed, -doubtful, clear


@dataclass(frozen=True, slots=True)
class Burst:
    """How far a burst has come.

    Attributes
    ----------
    due
        How many stills are still to come from the camera, the ordered one among them.
    came
        How many have come.
    after
        The number of the still that is kept from an earlier shot; those of this burst follow it.
    ordered, ordered_s
        Ticket of the one that is to come next, and when it was ordered.
    waiting
        Ticket and number of those that are being measured.
    best
        The best of those that were measured.
    """

    due: int = 0
    ordered: Ticket = field(default_factory=Ticket)
    ordered_s: float = 0.0
    came: int = 0
    after: int = 0
    waiting: tuple[tuple[Ticket, int], ...] = ()
    best: Still | None = None

    @property
    def is_over(self) -> bool:
        """Whether nothing more is to come, and nothing is being measured."""
        return self.due == 0 and not self.waiting

    @property
    def newest(self) -> int:
        """The number of the still that came last."""
        return self.after + self.came

    def orders(self, ticket: Ticket, now_s: float) -> Burst:
        """Return the burst after the next still was ordered."""
        return replace(self, ordered=ticket, ordered_s=now_s)

    def arrived(self, now_s: float) -> Burst:
        """Return the burst after the ordered still; one that took too long is the last."""
        due = self.due - 1 if now_s - self.ordered_s <= CYCLE_S else 0
        after = replace(self, due=due, came=self.came + 1)
        return replace(after, waiting=(*self.waiting, (self.ordered, after.newest)))

    def cut_short(self) -> Burst:
        """Return the burst without what has not come yet."""
        return replace(self, due=0)

    def number(self, ticket: Ticket) -> int | None:
        """Return the number of the still that is measured under a ticket; None where none of this burst is."""
        return next((number for known, number in self.waiting if known == ticket), None)

    def without(self, number: int) -> Burst:
        """Return the burst without a still that could not be measured."""
        return replace(self, waiting=tuple(each for each in self.waiting if each[1] != number))

    def measured(self, number: int, still: Still) -> tuple[Burst, int | None]:
        """Return the burst after a measured still, and the number of the one that is not kept; None for the first."""
        still = replace(still, number=number)
        left = self.without(number)
        if self.best is None:
            return replace(left, best=still), None
        if worth(still.judgement) > worth(self.best.judgement):
            return replace(left, best=still), self.best.number
        return left, number
