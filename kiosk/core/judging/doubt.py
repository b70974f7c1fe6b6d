"""Doubtful photos: nothing failed, but some value is too near its limit or could not be measured."""

from __future__ import annotations

from typing import Literal

from kiosk.core.judging.conformance import Judgement
from kiosk.core.judging.override import unprintable

Decider = Literal["sitter", "attendant"]
"""Who decides whether a doubtful photo is printed; the shop chooses."""


def is_only_doubtful(judgement: Judgement) -> bool:
    """Return whether the photo is doubtful: it can be printed, and no requirement failed."""
    return judgement.verdict == "refer" and not unprintable(judgement)
