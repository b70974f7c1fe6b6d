"""What is read from the seat is large enough for it, and larger text enlarges sentences before anything else."""

import math
from dataclasses import replace

import pytest

from kiosk.core.view.intent import Ease
from kiosk.i18n import Words
from kiosk.screens.stage import Stage
from kiosk.screens.toolkit import theme
from kiosk.screens.toolkit.scene import PanelPlace
from kiosk.screens.toolkit.text import CAPITAL_HEIGHT
from tests.support.sample_views import FRAME, VIEWS
from tests.support.views import altered

SCREEN_INCHES = 21.5
SEATED_M = 1.0
CAPITAL_DEG = 0.7  # EN 301 549 V3.2.1, 5.1.4: the capital H subtends at least 0.7 degrees
POSING = ("align", "shooting", "measuring")
LARGE = Ease(large_type=True)
ENDS = (".", "!", "?", "。")
PAGES = 4
AT_HAND = ("find",)
"""At an event's list the letters are what is enlarged; its one sentence stays."""


def degrees(size_px: float) -> float:
    """Return the height of a capital at the seat, of a size in design pixels."""
    pixel_mm = SCREEN_INCHES * 25.4 / math.hypot(1920, 1080)
    return math.degrees(math.atan(size_px * CAPITAL_HEIGHT * pixel_mm / (1000 * SEATED_M)))


@pytest.mark.parametrize("ease", [Ease(), LARGE, Ease(low_controls=True), Ease(strong_contrast=True)])
def test_every_word_read_while_posing_is_legible_from_the_seat(every_instruction, other_words, small, language, ease):
    """All that is not on something to touch, for which the sitter leans forward, in every state, theme and language."""
    stage = Stage(small, Words.load(language))
    seen = set()
    for name, view in (VIEWS | every_instruction | other_words).items():
        if view.state not in POSING:
            continue
        for is_light in (False, True):
            stage.draw(altered(view, language=language, ease=ease, is_light=is_light), FRAME)
            touched = [target.rect for target in stage.targets]
            scale = small[0] / (1080 if small[0] < small[1] else 1920)
            for box, block in stage.blocks:
                centre = box.centre
                on_button = any(
                    rect.x <= centre.x * scale <= rect.right and rect.y <= centre.y * scale <= rect.bottom
                    for rect in touched
                )
                if not on_button and box.y > stage._scene.area.marker.bottom:
                    assert degrees(block.size) >= CAPITAL_DEG, (name, block.text, block.size)
                    seen.add(view.state)
    assert seen == set(POSING)


def is_sentence(text: str) -> bool:
    return len(text) > 24 and text.rstrip("\u2069").endswith(ENDS) and not text.startswith("\u2068")


@pytest.mark.parametrize("language", ["en", "de", "vi", pytest.param("pl", marks=pytest.mark.slow)])
def test_larger_text_makes_every_sentence_larger_and_drops_none(small, language):
    """On one of its pages; titles, which are large already, and a fault's own words for staff are left out."""
    stage = Stage(small, Words.load(language))

    def sizes(view, place):
        stage.draw(view, FRAME)
        stage.go(place)
        stage.draw(view, FRAME)
        return {block.text: block.size for _, block in stage.blocks}

    shown = [(name, "") for name in VIEWS] + [("welcome", "help"), ("review_called", "called"), ("unprinted", "delete")]
    wrong = []
    for name, panel in shown:
        view = altered(VIEWS[name], language=language)
        if view.state in AT_HAND:
            continue
        usual, large = sizes(view, PanelPlace(panel)), {}
        for page in range(PAGES):
            for text, size_px in sizes(replace(view, ease=LARGE), PanelPlace(panel, page=page)).items():
                large[text] = max(large.get(text, 0.0), size_px)
        for text, size_px in usual.items():
            if is_sentence(text) and size_px < min(theme.HEADING) and large.get(text, 0.0) <= size_px:
                wrong.append((name, panel, text, size_px, large.get(text)))
    assert wrong == []
