"""What no attendant can pass: a photo that cannot be printed."""

from dataclasses import replace

from kiosk.core.base.geometry import Point
from kiosk.core.base.measurement import Observation
from kiosk.core.judging.conformance import judge
from kiosk.core.judging.override import unprintable
from tests.support.sights import DOCUMENT, POINTS, conforming


def moved(by_px: float, scale: float = 1.0) -> Observation:
    """Return a conforming observation whose head lies elsewhere in the still, or is smaller in it."""
    places = {
        name: Point(800 + (p.x - 800) * scale + by_px, 920 + (p.y - 920) * scale)
        for name in ("crown", "hair_top", "chin", "right_eye", "left_eye")
        for p in (getattr(POINTS, name),)
    }
    return replace(conforming(DOCUMENT), points=replace(POINTS, **places))


def test_a_conforming_photo_can_be_printed():
    assert unprintable(judge(conforming(DOCUMENT), DOCUMENT)) == ""


def test_no_head_no_room_and_too_few_pixels_cannot_be_passed():
    assert "head" in unprintable(judge(Observation(1600, 2000, 0), DOCUMENT))
    assert "outside" in unprintable(judge(moved(700), DOCUMENT))
    assert "pixels" in unprintable(judge(moved(0, scale=0.2), DOCUMENT))
