"""The note on sheets and reports about a doubtful photo that was printed at the sitter's wish."""

from __future__ import annotations

from collections.abc import Sequence
from functools import cache

from kiosk.i18n import Words


def not_certain(requirements: Sequence[str]) -> str:
    """Return the note on these requirements, in English like everything else on a sheet."""
    points = (_english().tr(f"requirement.{name}") for name in requirements)
    return f"not certain: {', '.join(point[:1].lower() + point[1:] for point in points)}"


@cache
def _english() -> Words:
    return Words.load("en")
