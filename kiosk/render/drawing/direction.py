"""The direction in which a text is read, and its letters in the order in which they are seen."""

from __future__ import annotations

import unicodedata
from itertools import groupby

_RIGHT_TO_LEFT = ("R", "AL")
_LEFT_TO_RIGHT = ("L", "EN", "AN")


def reads_right_to_left(text: str) -> bool:
    """Return whether the first strong letter of a text is right-to-left (Unicode Standard Annex 9, P2 and P3)."""
    strong = (kind for kind in map(unicodedata.bidirectional, text) if kind in ("L", *_RIGHT_TO_LEFT))
    return next(strong, "L") != "L"


def from_left(text: str) -> str:
    """Return the letters of a line from left to right, as readers of PDF files expect them.

    It follows Unicode Standard Annex 9 for words and numbers side by side, without embedded directions or mirrored
    brackets: letters between two directions take that of the text.
    """
    whole = reads_right_to_left(text)
    turned = [_turned(text, index, whole) for index in range(len(text))]
    runs = [(key, "".join(letter for _, letter in run)) for key, run in groupby(zip(turned, text, strict=True), _first)]
    seen = [run[::-1] if is_turned else run for is_turned, run in runs]
    return "".join(reversed(seen) if whole else seen)


def _first(pair: tuple[bool, str]) -> bool:
    return pair[0]


def _turned(text: str, index: int, whole: bool) -> bool:
    """Return whether a letter is read from right to left: by itself, or as both of its neighbours are."""
    before = next((way for letter in reversed(text[: index + 1]) if (way := _way(letter)) is not None), whole)
    after = next((way for letter in text[index:] if (way := _way(letter)) is not None), whole)
    return before if before == after else whole


def _way(letter: str) -> bool | None:
    kind = unicodedata.bidirectional(letter)
    return True if kind in _RIGHT_TO_LEFT else False if kind in _LEFT_TO_RIGHT else None
