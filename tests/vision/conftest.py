"""The real models, loaded once for all tests of a process: a still or a landmark depends on its own picture only."""

from __future__ import annotations

from collections.abc import Iterator
from functools import cache

import pytest

from kiosk.vision.live import LiveVision
from kiosk.vision.still import StillVision
from tests.support.rendered_sitters import EMPTY, Measured, picture


@pytest.fixture(scope="session")
def still() -> Iterator[StillVision]:
    with StillVision() as vision:
        yield vision


@pytest.fixture(scope="session")
def measured(still: StillVision) -> Measured:
    """Return what is measured in a rendered sitter's still, by the sitter's name; each is measured once."""
    return cache(lambda name: still.measure(picture(name)))


@pytest.fixture(scope="session")
def seeing() -> Iterator[LiveVision]:
    with LiveVision() as vision:
        yield vision


@pytest.fixture
def live(seeing: LiveVision) -> LiveVision:
    """Return the live look as it is at the start, after it has seen an empty booth.

    Which measurement is taken in which frame does not depend on how many frames earlier tests have shown it.
    """
    seeing._turn = 0
    seeing.observe(EMPTY)
    return seeing
