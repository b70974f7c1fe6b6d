"""What the coach has seen and says: what is broken since when, and the one instruction with its signs."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

from kiosk.core.session.instructions import CHECKS, PLACE_TAKING, Instruction
from kiosk.core.view.align import Check

SETTLE_S = 0.4
"""A requirement counts as broken once it has been broken for this long, the longest blink (practice), and as mended
once it has been kept for as long: a number that keeps crossing its limit is asked for (`tests/bench/coach`)."""

UNANSWERED_S = 8.0
"""An instruction that has been on the screen for this long has been understood, begun and tried again (practice):
either the sitter cannot follow it, or it rests on what else is wrong."""


@dataclass(frozen=True, slots=True)
class Fault:
    """A requirement that is not met.

    Attributes
    ----------
    ask
        What would mend it.
    since_s, last_s
        When it was first and last seen broken in the direction that `ask` mends.
    stood
        Whether it had settled before, in either direction.
    """

    ask: Instruction
    since_s: float
    last_s: float
    stood: bool = False

    @property
    def is_settled(self) -> bool:
        """Whether it has lasted long enough to be said."""
        return self.last_s - self.since_s >= SETTLE_S

    @property
    def stands(self) -> bool:
        """Whether its sign is amber."""
        return self.stood or self.is_settled


@dataclass(frozen=True, slots=True)
class Advice:
    """What the coach has seen and says.

    Attributes
    ----------
    instruction, since_s
        What is on the screen, and since when; None until something has been seen for long enough, and where the only
        thing to say would contradict what was just said.
    seen_s
        When the newest picture was seen.
    broken
        By measurement name, what is broken in the newest picture or was so less than `SETTLE_S` before.
    checks
        The live requirements for the screen.
    remedy
        What would mend the shot before, until it has been said for `REMEDY_S`.
    praised, praise_until_s
        The check that has turned right because of an instruction, and until when this is praised.
    last_shown
        When each instruction was last on the screen.
    eyes_widest
        The widest opening of this sitter's eyes so far, a ratio.
    in_vain
        What has been asked for `UNANSWERED_S` without effect.
    height_off_cm
        By how much the eye line is too low (negative: too high); kept as it is while other words name it.
    """

    instruction: Instruction | None = None
    since_s: float = float("-inf")
    seen_s: float = float("-inf")
    broken: Mapping[str, Fault] = field(default_factory=dict)
    checks: tuple[Check, ...] = tuple(Check(key, "unmeasured") for key in CHECKS)
    remedy: Instruction | None = None
    praised: str = ""
    praise_until_s: float = float("-inf")
    last_shown: Mapping[Instruction, float] = field(default_factory=dict)
    eyes_widest: float = 0.0
    in_vain: frozenset[Instruction] = frozenset()
    height_off_cm: int = 0

    @property
    def says_remedy(self) -> bool:
        """Whether the instruction on the screen is about the shot before."""
        return self.instruction is not None and self.instruction is self.remedy

    def is_unanswered(self, now_s: float) -> bool:
        """Whether the instruction on the screen has had no effect in all the time it was given."""
        stands = any(fault.ask is self.instruction for fault in self.broken.values())
        return stands and self.instruction not in PLACE_TAKING and now_s - self.since_s >= UNANSWERED_S

    def replaces(self, instruction: Instruction | None) -> bool:
        """Return whether another instruction has come because the sitter did something, and not for want of effect."""
        has_effect = all(fault.ask is not instruction for fault in self.broken.values())
        return self.instruction is not instruction and has_effect

    @property
    def broken_now(self) -> set[str]:
        """What is broken in the newest picture."""
        return {name for name, fault in self.broken.items() if fault.last_s >= self.seen_s}

    @property
    def all_kept(self) -> bool:
        """Whether every live requirement is met right now."""
        return self.instruction is Instruction.HOLD_STILL and not self.broken_now
