"""The caution on flashing light is on the screens before a camera starts: on the first, and where a sitter agrees."""

import pytest

from kiosk.core.view.intent import Ease
from kiosk.i18n import Words, available
from kiosk.screens.stage import Stage
from kiosk.screens.toolkit.scene import PanelPlace
from tests.support.sample_views import FRAME, VIEWS
from tests.support.views import altered

BEFORE = [name for name, view in VIEWS.items() if view.state in ("welcome", "privacy") and view.time_left_s is None]


@pytest.mark.parametrize("ease", [Ease(), Ease(large_type=True, low_controls=True)], ids=["usual", "large"])
@pytest.mark.parametrize("size", [(1080, 1920), (1920, 1080)])
@pytest.mark.parametrize("name", BEFORE)
def test_the_caution_is_written_before_the_camera_starts(name, size, ease, monkeypatch):
    written = []
    translate = Words.tr
    monkeypatch.setattr(Words, "tr", lambda self, key, **gaps: written.append(key) or translate(self, key, **gaps))
    stage, view = Stage(size, Words.load("en")), altered(VIEWS[name], ease=ease)
    for page in range(3):
        stage.draw(view, FRAME)
        stage.go(PanelPlace(page=page))
        stage.draw(view, FRAME)
    assert {"flash", "flash_alone"} & set(written)


@pytest.mark.parametrize("key", ["flash", "flash_alone"])
def test_the_caution_speaks_of_light_in_every_language(key):
    cautions = {tag: Words.load(tag).tr(key) for tag in available()}
    assert len(cautions) == 16
    assert len(set(cautions.values())) == 16
