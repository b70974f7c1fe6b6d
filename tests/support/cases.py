"""Many cases of one kind, of which the fast run has a few."""

from collections.abc import Container, Iterable
from typing import Any

import pytest


def slow_but(fast: Container[Any], cases: Iterable[Any]) -> list[Any]:
    """Return the cases as parameters of a test; all but the fast ones are marked slow."""
    return [
        case if case in fast else pytest.param(*(case if isinstance(case, tuple) else (case,)), marks=pytest.mark.slow)
        for case in cases
    ]
