"""The mains, as an uninterruptible power supply (UPS) says they are."""

from __future__ import annotations

from dataclasses import dataclass

ON_LINE, ON_BATTERY, LOW, FORCED = "OL", "OB", "LB", "FSD"
"""Words of `ups.status` (Network UPS Tools, Developer Guide, "Status data"): on the mains, on the battery, the battery
is low, and the machine is about to be shut down."""
MAINS_ADVICE = "Wait for the mains, or look at the fuse and the UPS's plug; the booth opens again by itself."


@dataclass(frozen=True, slots=True)
class Mains:
    """What a UPS said last.

    Attributes
    ----------
    words
        Its status; empty where it is not known.
    trouble
        Why it is not known; nothing where it is.
    """

    words: tuple[str, ...] = ()
    trouble: str = ""

    @property
    def are_there(self) -> bool:
        """Whether the mains are known to be there."""
        return ON_LINE in self.words and not self.is_ending

    @property
    def have_failed(self) -> bool:
        """Whether the booth is known to run on the battery."""
        return ON_BATTERY in self.words or self.is_ending

    @property
    def is_ending(self) -> bool:
        """Whether the machine will be off before long."""
        return FORCED in self.words or {ON_BATTERY, LOW} <= set(self.words)

    @property
    def sentence(self) -> str:
        """How they are, as a sentence."""
        if self.trouble:
            return f"Nobody knows whether the mains are there: {self.trouble}."
        if self.is_ending:
            return "The mains have failed, and the UPS's battery is nearly empty."
        return "The mains have failed; the booth runs on its UPS." if self.have_failed else "The mains are there."
