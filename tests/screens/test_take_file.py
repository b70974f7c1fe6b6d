"""The code on the screen is read by a reader of other makers, in every theme; nothing else there is a code."""

import cv2
import numpy as np
import pytest
import zxingcpp

from kiosk.core.view.intent import Ease
from kiosk.screens.spoken import spoken
from tests.support.sample_views import LINK
from tests.support.views import altered


def codes_in(pixels):
    """Return what a reader finds; the screen's pixels are BGRA."""
    return [code.text for code in zxingcpp.read_barcodes(np.ascontiguousarray(pixels[..., :3]))]


@pytest.mark.parametrize(
    "look",
    [{}, {"is_light": True}, {"ease": Ease(strong_contrast=True)}, {"ease": Ease(large_type=True, low_controls=True)}],
    ids=["dark", "light", "strong", "large"],
)
@pytest.mark.parametrize("language", ["en", "ar"])
def test_a_phone_can_read_the_code(draw, views, size, look, language):
    for name in ("file_link", "file_link_wifi"):
        _, pixels = draw(altered(views[name], language=language, **look), size)
        assert codes_in(pixels) == [LINK]


def test_a_phone_can_read_it_on_a_small_screen_seen_from_afar(draw, views, size):
    """A quarter of the pixels is what a phone's camera sees from about a metre."""
    _, pixels = draw(views["file_link"], size)
    assert codes_in(cv2.resize(pixels, None, fx=0.5, fy=0.5, interpolation=cv2.INTER_AREA)) == [LINK]


def test_no_code_is_shown_before_and_after(draw, views, size):
    for name in ("file_ways", "file_opening", "file_on_phone", "file_late", "collect_file"):
        assert codes_in(draw(views[name], size)[1]) == []


def test_the_voice_says_what_becomes_of_the_file(views):
    said = {
        name: spoken(views[name]) for name in ("file_ways", "file_link", "file_writing", "file_on_stick", "file_full")
    }
    assert said == {
        "file_ways": "file.title",
        "file_link": "file.scan",
        "file_writing": "file.writing",
        "file_on_stick": "file.taken_stick",
        "file_full": "file.full",
    }
