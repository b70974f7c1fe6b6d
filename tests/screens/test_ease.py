"""What makes the booth easier: reached from every screen, and measured.

Numbers are those of WCAG 2.2 and EN 301 549 V3.2.1 as quoted in public copies.
"""

from dataclasses import fields
from statistics import median

import numpy as np
import pygame
import pytest

from kiosk.core.base.geometry import Rect
from kiosk.core.session.booth_config import BoothConfig
from kiosk.core.session.events import Failed, Tick
from kiosk.core.session.state import NEXT, Session
from kiosk.core.session.step import step
from kiosk.core.session.time_limits import FORGET_S
from kiosk.core.view.intent import EASE_NAMES, Ease, Intent
from kiosk.i18n import Words
from kiosk.screens.hardware.display import Display
from kiosk.screens.stage import SCAN_S, Stage
from kiosk.screens.toolkit import theme
from kiosk.screens.toolkit.scene import Nudge, PanelPlace
from kiosk.screens.toolkit.theme import ThemeColour, contrast
from kiosk.screens.touch_screen import TouchScreen
from tests.screens.conftest import LONGEST, SMALL
from tests.support.sights import DOCUMENT
from tests.support.views import altered

HOUSE = BoothConfig((DOCUMENT,), languages=("en", "pl"))
PORTRAIT = (1080, 1920)
LOW, LARGE = Ease(low_controls=True), Ease(large_type=True)
BOTH = Ease(large_type=True, low_controls=True)
SENTENCES = (
    "welcome.text",
    "flash_alone",
    "privacy.memory",
    "privacy.personal",
    *(f"asks.{rule}" for rule in ("face_eyes", "face_only", "alone", "glasses_on", "head", "light", "lying")),
)


def acts(stage):
    return [target.act for target in stage.targets]


def centre(stage, act):
    (target,) = [target for target in stage.targets if target.act == act]
    return target.rect.centre


def test_every_screen_leads_to_the_panel_in_one_touch(draw, view):
    stage, _ = draw(view, SMALL[0])
    assert view.time_left_s is not None or PanelPlace("ease") in acts(stage)


def sizes(stage):
    return {block.text: block.size for _, block in stage.blocks}


def test_larger_text_has_the_rules_and_the_promises_on_pages_and_no_agreement_before_the_last(draw, views):
    for name, pages in (("privacy", 2), ("privacy_child", 3), ("privacy_kept", 2)):
        large = altered(views[name], ease=Ease(large_type=True))
        usual = sizes(draw(views[name], PORTRAIT)[0])
        sentences = {text: size for text, size in usual.items() if len(text) > 24}
        both = {}
        agreements = []
        for page in range(pages):
            stage, _ = draw(large, PORTRAIT, "en", PanelPlace(page=page))
            both |= sizes(stage)
            agreements.append(Intent("agree") in acts(stage))
        assert sentences.keys() <= both.keys(), "no sentence is dropped"
        assert all(both[text] > size for text, size in sentences.items())
        assert agreements == [False] * (pages - 1) + [True]


@pytest.mark.parametrize(("name", "panel"), [("welcome", "help"), ("collect", ""), ("collect_kept", "")])
@pytest.mark.parametrize("language", ["en", "de", "vi"])
def test_larger_text_makes_every_sentence_larger_and_drops_none(draw, views, name, panel, language):
    usual = sizes(draw(views[name], PORTRAIT, language, PanelPlace(panel))[0])
    large = {}
    for page in (0, 1):
        eased = altered(views[name], ease=Ease(large_type=True))
        large |= sizes(draw(eased, PORTRAIT, language, PanelPlace(panel, page=page))[0])
    sentences = {text: size for text, size in usual.items() if len(text) > 24}
    assert sentences.keys() <= large.keys()
    assert all(large[text] > size for text, size in sentences.items())


def test_each_part_is_switched_on_and_off_in_every_state_and_stays_until_the_sitter_leaves():
    assert {part.name for part in fields(Ease)} == set(EASE_NAMES)
    for state in NEXT:
        for name in EASE_NAMES:
            on, _ = step(Session(state=state), Intent("ease", name), 1.0, HOUSE)
            with_it = {"low_controls": True} if name == "seat_stays" else {}
            assert on.ease == Ease(**{name: True, **with_it})
            assert step(on, Intent("ease", name), 2.0, HOUSE)[0].ease == Ease(**with_it)
    eased = Session(state="review", ease=BOTH)
    assert step(eased, Intent("start_again"), 1.0, HOUSE)[0].ease == Ease()
    assert step(eased, Failed("It broke.", "Mend it."), 1.0, HOUSE)[0].ease == BOTH
    assert step(Session(), Intent("ease", "no such thing"), 1.0, HOUSE)[0].ease == Ease()


def test_the_welcome_screen_forgets_what_somebody_chose_and_left():
    left = Session(ease=LARGE, language="pl", active_s=100.0)
    assert step(left, Tick(), 100.0 + FORGET_S - 1, HOUSE)[0] == left
    fresh, commands = step(left, Tick(), 100.0 + FORGET_S + 1, HOUSE)
    assert (fresh.ease, fresh.language, commands) == (Ease(), "en", ())


def test_the_panel_stays_open_while_its_parts_are_switched(draw, views):
    stage, _ = draw(views["align"], PORTRAIT, "en", PanelPlace("ease"))
    at = centre(stage, Intent("ease", "large_type"))
    assert stage.intent_at(at.x, at.y) == Intent("ease", "large_type")
    stage.draw(altered(views["align"], ease=LARGE), None)
    assert Intent("ease", "strong_contrast") in acts(stage)


@pytest.mark.parametrize("name", ["welcome", "align", "review_fail", "privacy", "warning", "out_of_order"])
def test_strong_contrast_is_that_of_the_strictest_level(draw, views, size, name):
    """WCAG 2.2, 1.4.6 (AAA): 7:1 for words; 1.4.11: 3:1 for the edges of what is touched."""
    stage, picture = draw(altered(views[name], ease=Ease(strong_contrast=True)), size, "de")
    for box, block in stage.blocks:
        region = picture[round(box.y) : round(box.bottom) : 3, round(box.x) : round(box.right) : 3, 2::-1]
        behind = ThemeColour(*np.median(region.reshape(-1, 3), axis=0).astype(int).tolist())
        assert contrast(block.style.colour, behind) >= 7.0, block.text
    for target in stage.targets:
        edge = picture[round(target.rect.y) + 1, round(target.rect.centre.x), 2::-1]
        assert contrast(ThemeColour(*edge.tolist()), ThemeColour(0, 0, 0)) >= 3.0, target


def test_large_type_is_larger(draw, views):
    """Half of the words grow by an eighth or more, and none shrinks but a fault's own for the staff."""
    ratios = []
    for size in SMALL:
        for view in views.values():
            plain, large = (
                {block.text: block.size for _, block in draw(altered(view, ease=ease), size, "de")[0].blocks}
                for ease in (Ease(), LARGE)
            )
            shared = {text for text in plain.keys() & large.keys() if not (view.fault and view.fault[0] in text)}
            same = [large[text] / plain[text] for text in shared]
            assert min(same, default=1.0) >= 1.0
            ratios += same
    assert median(ratios) >= 1.125


@pytest.mark.parametrize("name", ["welcome", "privacy_child", "privacy_baby"])
@pytest.mark.parametrize("language", ["en", "de", "cy", "uk"])
def test_every_sentence_before_the_photo_grows_with_larger_text(draw, views, small, language, name):
    """However little room low controls leave; it takes further pages if it must."""
    said = Words.load(language)
    keys = [key for key in SENTENCES if said.tr(key) in page_sizes(draw, views[name], small, language)]
    assert len(keys) >= 2
    for usual, larger in ((Ease(), LARGE), (LOW, BOTH)):
        plain, grown = (page_sizes(draw, altered(views[name], ease=ease), small, language) for ease in (usual, larger))
        assert {key for key in keys if grown[said.tr(key)] <= plain[said.tr(key)]} == set()


@pytest.mark.parametrize("language", ["en", "de", "ur", "vi"])
def test_the_options_themselves_grow_with_larger_text(draw, views, small, language):
    labels = {Words.load(language).tr(f"ease.{name}") for name in EASE_NAMES}
    for usual, larger in ((Ease(), LARGE), (LOW, BOTH)):
        plain, grown = (
            page_sizes(draw, altered(views["welcome"], ease=ease), small, language, "ease") for ease in (usual, larger)
        )
        assert min(grown[label] / plain[label] for label in labels) >= 1.125


def page_sizes(draw, view, size, language, panel=""):
    """Return the type size of every text on the view's pages."""
    stages = (draw(view, size, language, PanelPlace(panel, page=page))[0] for page in range(3))
    return {block.text: block.size for stage in stages for _, block in list(stage.blocks)}


@pytest.mark.parametrize(
    ("language", "ease"),
    [
        pytest.param(tag, ease, id=f"{tag}-{name}", marks=() if tag in soon else pytest.mark.slow)
        for tag in ("de", "uk", "ur", "cy", "pt", "vi")
        for name, ease, soon in (("large", LARGE, ("de",)), ("low", LOW, ("de",)), ("both", BOTH, LONGEST))
    ],
)
def test_every_text_fits_however_it_is_eased(draw, views, places, small, language, ease):
    """Large type between low controls has the least room of all."""
    shown = [(name, PanelPlace()) for name in views] + list(places)
    wrong = []
    for name, place in shown:
        stage, _ = draw(altered(views[name], ease=ease), small, language, place)
        wrong += [(name, block.text) for _, block in stage.blocks if not block.fits]
    assert wrong == []


def test_three_buttons_at_the_lower_edge_reach_everything(draw, view, small):
    plain = acts(draw(view, small)[0])
    eased = altered(view, ease=LOW)
    stage, _ = draw(eased, small)
    reached = []
    for _ in range(len(stage.targets) - 3):
        on = centre(stage, Nudge(1))
        assert stage.intent_at(on.x, on.y) == Intent("more_time")
        stage.draw(eased, None)
        reached.append(stage._focusable[stage._focus].act)
    missing = {act.name for act in set(plain) - set(reached) if isinstance(act, Intent)}
    assert missing <= {"language", "choose", "agree"}, "these move to a panel or to the next page"
    press = centre(stage, Nudge(0))
    last = reached[-1]
    pressed = stage.intent_at(press.x, press.y)
    assert pressed == (last if isinstance(last, Intent) else Intent("help" if last.panel == "help" else "more_time"))


@pytest.mark.parametrize("inches", [15, 21.5, 32])
def test_the_three_buttons_lie_within_reach_wherever_the_screen_hangs(draw, views, size, inches):
    """EN 301 549 8.3.3: 380 to 1220 mm above the floor; with the lower edge at 800 mm, as high as a desk and a lap."""
    stage, _ = draw(altered(views["align"], ease=LOW), size)
    pixel_mm = inches * 25.4 / np.hypot(*size)
    for target in stage.targets:
        if isinstance(target.act, Nudge):
            top_mm = 800 + (size[1] - target.rect.y) * pixel_mm
            assert 380 <= top_mm <= 1220
            assert min(target.rect.width, target.rect.height) * pixel_mm >= 13, "a finger's width (practice)"


def test_targets_are_large_and_apart_with_low_controls(draw, view, small):
    stage, _ = draw(altered(view, ease=BOTH), small, "de")
    whole = Rect(0, 0, *map(float, small))
    for index, target in enumerate(stage.targets):
        assert min(target.rect.width, target.rect.height) * 4 >= theme.TARGET, target
        assert whole.contains(target.rect), target
        assert not any(target.rect.overlaps(other.rect) for other in stage.targets[:index])


def test_one_switch_goes_round_all_targets_by_itself_and_presses(views):
    stage = Stage(PORTRAIT, Words.load("en"))
    view = altered(views["privacy"], ease=Ease(one_switch=True))
    seen = []
    stage.draw(view, None)
    for tick in range(12):
        stage.draw(altered(view, now_s=tick * SCAN_S + 0.01), None)
        seen.append(stage._focusable[stage._focus].act)
    assert set(seen) == set(acts(stage))
    agree = seen.index(Intent("agree"))
    stage.draw(altered(view, now_s=(12 + (agree - len(seen)) % len(acts(stage))) * SCAN_S + 0.01), None)
    while stage._focusable[stage._focus].act != Intent("agree"):
        stage.move_focus(1)
    assert stage.press_focus() == Intent("agree")


def test_a_switch_pressed_before_anything_has_the_focus_begins_the_round(views):
    screen = TouchScreen(Display((270, 480)), Words.load("en"))
    screen.show(views["welcome"], None)
    pygame.event.post(pygame.event.Event(pygame.KEYDOWN, key=pygame.K_SPACE, mod=0))
    assert screen.intents() == [Intent("ease", "one_switch")]
    screen.show(altered(views["welcome"], ease=Ease(one_switch=True)), None)
    pygame.event.post(pygame.event.Event(pygame.KEYDOWN, key=pygame.K_SPACE, mod=0))
    assert screen.intents() == [Intent("start")]
    screen.close()
