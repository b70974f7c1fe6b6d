"""The contours on the screen stand for the limits that are judged: no head that is accepted leaves them."""

from itertools import product

import pytest

from kiosk.core.base.geometry import Rect
from kiosk.core.judging.framing import framing
from tests.support.shipped import CATALOGUE

ABOVE_EYES = 0.485
"""ANSUR II means of the share of head height above the eyes: men 0.481, women 0.490."""
ASPECT = 0.654
"""ANSUR II, men: head breadth over head height."""


@pytest.mark.parametrize("document", CATALOGUE.all(), ids=lambda document: document.id)
@pytest.mark.parametrize("still_px", [(1600, 2000), (2000, 1600)])
def test_every_accepted_head_lies_within_the_outer_contour(document, still_px):
    where = framing(document, *still_px)
    for size, x, y in product(*((each.low, each.high) for each in (where.head, where.eye_x, where.eye_y))):
        width = size * ASPECT * still_px[1] / still_px[0]
        head = Rect(x - width / 2, y - size * ABOVE_EYES, width, size)
        assert where.outer.contains(head, 1e-6)
        assert head.width >= where.inner.width - 1e-6
        assert head.height >= where.inner.height - 1e-6
    assert where.outer.contains(where.guide, 1e-6)
    assert where.guide.contains(where.inner, 1e-6)
