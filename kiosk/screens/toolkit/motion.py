"""Motion that eases: it begins and ends at rest."""

from __future__ import annotations


def progress(now_s: float, begins_s: float, lasts_s: float) -> float:
    """Return which part of a movement has passed, 0 before it and 1 after it."""
    return min(max((now_s - begins_s) / lasts_s, 0.0), 1.0)


def eased(part: float) -> float:
    """Return how far a movement is that has a smooth start and end, where a part of its time has passed."""
    return part * part * (3 - 2 * part)
