"""How much of the picture the head takes."""

from __future__ import annotations

import tomllib
from pathlib import Path

import pytest

from kiosk.core.base.geometry import Point
from kiosk.core.base.measurement import HeadPoints
from kiosk.core.document.limits import CaptureLimit
from kiosk.core.judging.conformance import word_of
from kiosk.vision.head.head_share import measure_head_share

CAPTURE = Path(__file__).parents[2] / "specs" / "capture.toml"
LIMIT = CaptureLimit(**tomllib.loads(CAPTURE.read_text())["head_share"])


@pytest.mark.parametrize(
    ("head_px", "word"), [(500, "pass"), (361, "pass"), (341, "pass"), (330, "refer"), (300, "refer")]
)
def test_a_head_of_known_height_in_a_picture_of_1000_px(head_px: int, word: str) -> None:
    """Crown and chin each known to 12 and 16 px: 20 px together, or 2 % of the picture."""
    points = HeadPoints(
        Point(0, 100),
        Point(0, 90),
        Point(0, 100 + head_px),
        Point(-9, 200),
        Point(9, 200),
        crown_sd_px=12,
        chin_sd_px=16,
    )
    found = measure_head_share(points, 1000)
    assert found.value == pytest.approx(head_px / 1000)
    assert found.uncertainty == pytest.approx(0.02)
    assert word_of(found, LIMIT) == word
