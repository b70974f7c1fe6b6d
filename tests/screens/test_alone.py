"""Nobody is promised who is not there: a booth without an attendant sends its sitter to none."""

import pytest

from kiosk.core.view.intent import Ease
from kiosk.i18n import Words
from kiosk.screens.spoken import spoken
from kiosk.screens.toolkit.scene import PanelPlace
from tests.support.views import altered

SEAT_STAYS = Ease(seat_stays=True)


def alone(views):
    return {name: view for name, view in views.items() if not view.event.is_event and view.state != "release"}


def texts(stage):
    return [block.text for _, block in stage.blocks]


def test_no_screen_sends_anybody_to_an_attendant_who_is_not_there(draw, views, every_instruction, small):
    asked = []
    for name, view in alone(views | every_instruction).items():
        for place in (PanelPlace(), PanelPlace("help")):
            for ease in (Ease(), SEAT_STAYS):
                without = altered(view, attended=False, called=False, fault=("", ""), ease=ease)
                said = texts(draw(without, small, "en", place)[0])
                asked += [(name, text) for text in said if "ask the attendant" in text.lower()]
    assert asked == []


@pytest.mark.parametrize(("attended", "ending"), [(True, "the attendant first."), (False, "not use this booth.")])
def test_whom_a_flash_could_harm_is_told_what_to_do(draw, views, small, attended, ending):
    for name in ("welcome", "privacy"):
        said = texts(draw(altered(views[name], attended=attended), small)[0])
        assert any(text.endswith(ending) for text in said), name


@pytest.mark.parametrize("attended", [True, False])
@pytest.mark.parametrize("key", ["sit_higher", "sit_lower"])
def test_words_for_a_seat_that_stays_fit_and_are_what_the_voice_says(
    draw, every_instruction, small, language, key, attended
):
    view = altered(every_instruction[key], ease=SEAT_STAYS, attended=attended, language=language)
    stage, _ = draw(view, small, language)
    assert all(block.fits for _, block in stage.blocks)
    assert Words.load(language).tr(spoken(view)) in texts(stage)


@pytest.mark.parametrize("trouble", ["other", "printer", "sheet_unknown", "sheet_not_printed"])
def test_words_for_a_booth_that_is_out_of_order_and_alone_fit(draw, views, small, language, trouble):
    stage, _ = draw(altered(views["out_of_order"], trouble=trouble, attended=False), small, language)
    assert all(block.fits for _, block in stage.blocks)
