"""The stage: what a touch or a key means, ways home, and that the same view gives the same picture."""

import re
from dataclasses import replace
from itertools import combinations

import numpy as np
import pytest

from kiosk.core.base.geometry import Point
from kiosk.core.session.state import NEXT
from kiosk.core.view.intent import Intent
from kiosk.i18n import Words, available
from kiosk.screens.painters import SCREENS
from kiosk.screens.stage import Stage
from kiosk.screens.toolkit import theme
from kiosk.screens.toolkit.scene import PanelPlace
from tests.support.views import altered

PORTRAIT = (1080, 1920)

HOME = {
    "welcome": None,
    "find": Intent("start_again"),
    "choose": Intent("start_again"),
    "prepare": Intent("start_again"),
    "privacy": Intent("start_again"),
    "align": Intent("start_again"),
    "shooting": Intent("start_again"),
    "measuring": Intent("start_again"),
    "review": Intent("start_again"),
    "copies": Intent("start_again"),
    "release": Intent("start_again"),
    "paying": None,
    "printing": None,
    "unprinted": PanelPlace("delete"),
    "collect": Intent("start_again"),
    "take_file": Intent("start_again"),
    "money_back": Intent("done"),
    "thanks": Intent("done"),
    "out_of_order": None,
}
"""What leads home; payment, printing and a written stick end by themselves, a booth out of order mends by itself."""

WANTED = {
    "welcome": {Intent("start"), Intent("language", "ar"), PanelPlace("help")},
    "choose": {
        Intent("back"),
        Intent("choose", "document-0"),
        PanelPlace("search"),
        PanelPlace(page=1),
        PanelPlace("help"),
    },
    "privacy": {Intent("agree"), Intent("back"), PanelPlace("help"), PanelPlace("language")},
    "align": {PanelPlace("help"), PanelPlace("language")},
    "review_pass": {Intent("accept"), Intent("retake")},
    "review_fail": {Intent("retake")},
    "review_refer": {Intent("retake")},
    "paying_coins": {Intent("cancel"), PanelPlace("help")},
    "paying_terminal": {Intent("cancel"), Intent("more_time")},
    "printing": {PanelPlace("help")},
    "collect": {Intent("done")},
    "collect_file": {Intent("done"), Intent("take_file")},
    "file_ways": {Intent("take_file", "phone"), Intent("take_file", "stick"), Intent("back")},
    "file_full": {Intent("take_file", "phone"), Intent("take_file", "stick"), Intent("back")},
    "file_late": {Intent("done")},
    "prepare": {Intent("ready", "0"), Intent("ready", "1"), Intent("ready", "6"), Intent("back")},
    "out_of_order": {PanelPlace("language")},
    "warning": {Intent("more_time"), Intent("start_again")},
}


def acts(stage):
    return [target.act for target in stage.targets]


def test_there_is_a_screen_for_every_state():
    assert SCREENS.keys() == NEXT.keys() == HOME.keys()


def test_every_state_is_among_the_views_that_these_tests_draw(views):
    assert {view.state for view in views.values()} == NEXT.keys()


def test_every_state_has_a_way_home(draw, view, size):
    stage, _ = draw(view, size)
    home = HOME[view.state]
    assert home is None or home in acts(stage) or view.handover.stage == "writing"


@pytest.mark.parametrize("name", WANTED)
def test_what_can_be_touched(draw, views, size, name):
    stage, _ = draw(views[name], size)
    assert WANTED[name] <= set(acts(stage))


def test_only_a_photo_that_passed_can_be_printed(draw, views, size):
    for name in ("review_fail", "review_refer", "review_unmeasured"):
        assert Intent("accept") not in acts(draw(views[name], size)[0])


def test_a_touch_means_its_target_and_nothing_beside_it(draw, views, size):
    stage, _ = draw(views["privacy"], size)
    (agree,) = [target for target in stage.targets if target.act == Intent("agree")]
    inside, outside = agree.rect.centre, (agree.rect.x - 3, agree.rect.y - 3)
    assert stage.intent_at(*outside) is None
    assert stage.intent_at(inside.x, inside.y) == Intent("agree")


def test_the_list_turns_page_by_page_and_finds_every_document(draw, views, size):
    found = []
    for page in range(5):
        stage, _ = draw(views["choose"], size, "en", PanelPlace(page=page))
        found += [act.argument for act in acts(stage) if isinstance(act, Intent) and act.name == "choose"]
        if PanelPlace(page=page + 1) not in acts(stage):
            break
    assert found == [offer.id for offer in views["choose"].offers]


def test_documents_are_found_by_country(draw, views, size):
    stage, _ = draw(views["choose"], size, "de", PanelPlace("countries"))
    countries = [act.country for act in acts(stage) if isinstance(act, PanelPlace) and act.country]
    assert countries == ["DE", "CA", "PL", "ES", "US", "GB"], "by their German names"
    stage, _ = draw(views["choose"], size, "de", PanelPlace(country="GB"))
    chosen = [act.argument for act in acts(stage) if isinstance(act, Intent) and act.name == "choose"]
    assert chosen == ["document-0"]


def test_a_panel_opens_over_the_screen_and_closes(draw, views, size):
    view = views["align"]
    stage, before = draw(view, size)
    touch(stage, PanelPlace("help"))
    assert np.any(stage.draw(view, None) != before)
    assert PanelPlace() in acts(stage)
    assert touch(stage, PanelPlace()) == Intent("more_time"), "a sign that someone is there"
    stage.draw(view, None)
    assert PanelPlace("help") in acts(stage)


def test_opening_help_is_told_and_a_chosen_language_closes_the_panel(draw, views, size):
    stage, _ = draw(views["privacy"], size)
    assert touch(stage, PanelPlace("help")) == Intent("help")
    stage, _ = draw(views["privacy"], size)
    touch(stage, PanelPlace("language"))
    stage.draw(views["privacy"], None)
    assert touch(stage, Intent("language", "pl")) == Intent("language", "pl")
    stage.draw(altered(views["privacy"], language="pl"), None)
    assert Intent("agree") in acts(stage)


def test_a_panel_closes_when_the_session_moves_on(draw, views):
    stage, _ = draw(views["align"], PORTRAIT, "en", PanelPlace("help"))
    stage.draw(views["review_pass"], None)
    assert Intent("accept") in acts(stage)


def touch(stage, act):
    (target,) = [target for target in stage.targets if target.act == act]
    return stage.intent_at(target.rect.centre.x, target.rect.centre.y)


def test_keys_reach_and_press_every_target(draw, view, small):
    stage, plain = draw(view, small)
    means_nothing_else = not any(isinstance(act, PanelPlace) for act in acts(stage))
    more_time = Intent("more_time")
    wanted = [act for act in acts(stage) if isinstance(act, Intent) and (means_nothing_else or act != more_time)]
    pressed = []
    for steps in range(1, len(stage.targets) + 1):
        draw(view, small)
        for _ in range(steps):
            stage.move_focus(1)
        if steps == 1:
            assert np.any(stage.draw(view, None) != plain), "the focus is shown"
        pressed.append(stage.press_focus())
    assert [intent for intent in pressed if intent in wanted] == wanted


def test_keys_go_round_backwards_too(draw, views):
    stage, _ = draw(views["privacy"], PORTRAIT)
    assert acts(stage)[-1] == PanelPlace("ease")
    stage.move_focus(-1)
    assert stage.press_focus() == Intent("more_time")
    stage.draw(views["privacy"], None)
    assert Intent("ease", "large_type") in acts(stage), "the last target is the accessibility sign"


def test_the_focus_is_dropped_when_the_warning_comes_up(draw, views):
    stage, _ = draw(views["privacy"], PORTRAIT)
    stage.move_focus(2)
    stage.draw(views["warning"], None)
    assert stage.press_focus() is None


def test_nothing_is_pressed_without_focus(draw, views):
    stage, _ = draw(views["privacy"], PORTRAIT)
    assert stage.press_focus() is None


def test_the_same_view_gives_the_same_picture(views, frame):
    """Drawn on a fresh stage, and on one that has shown everything else before."""
    used = Stage(PORTRAIT, Words.load("en"))
    for view in views.values():
        used.draw(view, frame)
    for name in ("align_holding", "review_pass", "printing", "welcome"):
        fresh = Stage(PORTRAIT, Words.load("en"))
        assert np.array_equal(used.draw(views[name], frame), fresh.draw(views[name], frame)), name


def test_what_moves_leaves_no_trace(views):
    stage, fresh = Stage(PORTRAIT, Words.load("en")), Stage(PORTRAIT, Words.load("en"))
    for now_s in (0.0, 1.0, 2.7):
        moved = stage.draw(altered(views["printing"], now_s=now_s), None)
    assert np.array_equal(moved, fresh.draw(altered(views["printing"], now_s=2.7), None))


def test_the_ring_grows_with_the_time_held(views):
    stage = Stage(PORTRAIT, Words.load("en"))
    amounts = []
    for fraction in (0.1, 0.5, 0.9):
        picture = stage.draw(altered(views["align_holding"], hold_fraction=fraction), None)
        amounts.append(int(np.all(picture[88:420, 40:340, :3] == (0xB0, 0xDD, 0x63), axis=2).sum()))
    assert amounts == sorted(amounts)
    assert amounts[1] / amounts[2] == pytest.approx(5 / 9, rel=0.1)


def test_the_language_follows_the_view(views):
    stage = Stage(PORTRAIT, Words.load("en"))
    stage.draw(altered(views["welcome"], language="ar"), None)
    assert stage.words.is_right_to_left


def test_a_photo_that_cannot_be_shown_still_has_its_verdict(draw, views, size):
    stage, _ = draw(altered(views["review_pass"], photo_jpeg=b"not a picture"), size)
    assert Intent("accept") in acts(stage)


@pytest.mark.parametrize("state", ["welcome", "align"])
def test_with_many_languages_the_one_in_use_is_shown_and_all_can_be_touched(draw, views, size, state):
    place = PanelPlace("language") if state == "align" else PanelPlace()
    stage, _ = draw(views[state], size, "zh-Hans", place)
    offered = [target for target in stage.targets if isinstance(target.act, Intent) and target.act.name == "language"]
    assert Intent("language", "zh-Hans") in [target.act for target in offered]
    assert len(offered) == (5 if state == "welcome" else len(available()))
    assert all(min(target.rect.width, target.rect.height) >= theme.TARGET for target in offered)
    assert not any(one.rect.overlaps(other.rect) for one, other in combinations(stage.targets, 2))


@pytest.mark.parametrize(("head_top", "word", "height_mm"), [("crown", "Scheitel", 6.0), ("hair", "Haar", 4.0)])
def test_the_top_line_is_that_of_the_document(draw, views, head_top, word, height_mm):
    points = replace(views["review_pass"].review.photo_points_mm, crown=Point(17, 6.0), hair_top=Point(17, 4.0))
    view = altered(views["review_pass"], head_top=head_top, photo_points_mm=points)
    details = PanelPlace("details")
    boxes = {block.text: box for box, block in draw(view, (1080, 1920), "de", details)[0].blocks}
    assert {"Scheitel", "Haar"} & set(boxes) == {word}
    px_per_mm = (boxes["Kinn"].centre.y - boxes[word].centre.y) / (points.chin.y - height_mm)
    assert boxes["Augen"].centre.y - boxes[word].centre.y == pytest.approx(px_per_mm * (21 - height_mm), abs=2)


def test_a_document_is_named_in_the_language_of_the_sitter(draw, views):
    known = replace(views["choose"].offers[0], kinds=("passport", "identity_card"), is_upload=True)
    other = replace(views["choose"].offers[1], title="Rowing club, member’s card", kinds=())
    stage, _ = draw(altered(views["choose"], offers=(known, other)), (1080, 1920), "pl")
    shown = [re.sub("[\u2066-\u2069]", "", block.text) for _, block in stage.blocks]
    assert "Paszport, dowód osobisty, plik ze zdjęciem" in shown
    assert "Rowing club, member’s card" in shown
