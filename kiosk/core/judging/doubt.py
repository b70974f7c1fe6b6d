"""A photo that stays doubtful: nothing in it failed, but something is too near its limit or was not measured."""

from __future__ import annotations

from typing import Literal

from kiosk.core.judging.conformance import Judgement
from kiosk.core.judging.override import unprintable

Decider = Literal["sitter", "attendant"]
"""Whom the shop lets decide whether such a photo is printed."""


def is_only_doubtful(judgement: Judgement) -> bool:
    """Tell whether nothing but doubt speaks against a photo; what failed or gives no print is beyond doubt."""
    return judgement.verdict == "refer" and not unprintable(judgement)
