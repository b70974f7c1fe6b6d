"""Fixtures of the screens: the sample views, and the languages and sizes that they are drawn in."""

import os

os.environ["SDL_VIDEODRIVER"] = "dummy"
os.environ["SDL_AUDIODRIVER"] = "dummy"

from collections.abc import Callable

import pytest

from kiosk.core.view.sitter import SessionView
from kiosk.i18n import Words, available
from kiosk.screens.stage import Stage
from kiosk.screens.toolkit.scene import PanelPlace, ScenePicture
from tests.support.sample_views import EVERY_INSTRUCTION, FRAME, OTHER_WORDS, PLACES, VIEWS
from tests.support.views import altered

SIZES = ((1080, 1920), (1920, 1080))
SMALL = ((270, 480), (480, 270))
"""The same layouts in a quarter of the pixels, which are drawn sooner."""

LONGEST = ("de", "ur", "vi")
"""Of the languages that have to be set smallest, counted over all sample views (cy, de, pl, uk, ur, vi), one with long
words, one from right to left, and one with two marks over a letter; `-m slow` sweeps the others."""

Draw = Callable[..., tuple[Stage, ScenePicture]]


@pytest.fixture(params=VIEWS)
def view(request: pytest.FixtureRequest) -> SessionView:
    return VIEWS[request.param]


@pytest.fixture(params=SIZES, ids=lambda size: f"{size[0]}x{size[1]}")
def size(request: pytest.FixtureRequest) -> tuple[int, int]:
    return request.param


@pytest.fixture(params=SMALL, ids=["portrait", "landscape"])
def small(request: pytest.FixtureRequest) -> tuple[int, int]:
    return request.param


@pytest.fixture(params=[tag if tag in LONGEST else pytest.param(tag, marks=pytest.mark.slow) for tag in available()])
def language(request: pytest.FixtureRequest) -> str:
    return request.param


@pytest.fixture(scope="session")
def views() -> dict[str, SessionView]:
    return VIEWS


@pytest.fixture(scope="session")
def every_instruction() -> dict[str, SessionView]:
    return EVERY_INSTRUCTION


@pytest.fixture(scope="session")
def other_words() -> dict[str, SessionView]:
    """Return every instruction that has not helped; those to the right say the same as those to the left."""
    return OTHER_WORDS


@pytest.fixture(scope="session")
def places() -> tuple[tuple[str, PanelPlace], ...]:
    """Return a view's name and a place within it, for every panel and page there is."""
    return PLACES


@pytest.fixture(scope="session")
def frame() -> ScenePicture:
    return FRAME


@pytest.fixture(scope="session")
def draw() -> Draw:
    """Draw a view on a stage that is kept for each size and language; return the stage and a copy of its picture."""
    stages: dict[tuple[tuple[int, int], str], Stage] = {}

    def drawn(
        view: SessionView, size: tuple[int, int], language: str = "en", place: PanelPlace | None = None
    ) -> tuple[Stage, ScenePicture]:
        stage = stages.setdefault((size, language), Stage(size, Words.load(language)))
        shown = altered(view, language=language)
        stage.draw(shown, FRAME)
        stage.go(place or PanelPlace())
        return stage, stage.draw(shown, FRAME).copy()

    return drawn
