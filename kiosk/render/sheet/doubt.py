"""What a sheet and a report say of a photo that its sitter had printed though something in it is doubtful."""

from __future__ import annotations

from collections.abc import Sequence
from functools import cache

from kiosk.i18n import Words


def not_certain(requirements: Sequence[str]) -> str:
    """Return the words on the requirements of these names; English, as all else on a sheet."""
    points = (_english().tr(f"requirement.{name}") for name in requirements)
    return f"not certain: {', '.join(point[:1].lower() + point[1:] for point in points)}"


@cache
def _english() -> Words:
    return Words.load("en")
