"""Every text fits its box in every language, orientation and state; every target can be hit."""

import math
from dataclasses import replace
from itertools import combinations

import pytest

from kiosk.core.base.geometry import Rect
from kiosk.core.session.offers import offer
from kiosk.core.view.intent import Intent
from kiosk.core.view.review import VerdictRow
from kiosk.i18n import Words, available, read_catalogue
from kiosk.screens.stage import Stage
from kiosk.screens.toolkit import theme
from kiosk.screens.toolkit.scene import PanelPlace
from kiosk.screens.toolkit.text import CAPITAL_HEIGHT, Style, fit
from kiosk.screens.toolkit.widgets import document_detail, document_title
from tests.support.shipped import CATALOGUE
from tests.support.views import altered

SCREEN_INCHES = 21.5
TOUCHING_M = 0.52
LOOKING_M = 1.0
LISTED = 4
LEAST_ROWS = 2
CAPITAL_DEG = 0.7  # EN 301 549 V3.2.1, 5.1.4: the capital H subtends at least 0.7 degrees


def smaller(size: tuple[int, int]) -> tuple[int, int]:
    """Return a screen of fewer pixels with the same layout in design pixels, which is drawn sooner."""
    return size[0] // 4, size[1] // 4


def misfits(stage: Stage) -> list[str]:
    return [f"{block.text} at {block.size:.0f} px in {box}" for box, block in stage.blocks if not block.fits]


def test_every_text_fits(draw, views, every_instruction, other_words, places, size, language):
    size, wrong = smaller(size), []
    for name, view in (views | every_instruction | other_words).items():
        wrong += [f"{name}: {text}" for text in misfits(draw(view, size, language)[0])]
    for name, place in places:
        wrong += [f"{name} {place}: {text}" for text in misfits(draw(views[name], size, language, place)[0])]
    assert wrong == []


@pytest.mark.parametrize("shape", [(1024, 768), (1280, 1024), (1200, 1920), (2560, 1080)])
def test_every_text_fits_a_screen_of_another_shape(draw, views, shape):
    assert [text for view in views.values() for text in misfits(draw(view, smaller(shape), "de")[0])] == []


def test_every_reason_fits_where_it_is_said(draw, views, language):
    narrow = smaller((1920, 1080))
    names = [key.split(".")[1] for key in keys() if key.startswith("reason.")]
    rows = [
        VerdictRow(name, "-12.3 mm", limit, word)
        for name in names
        for limit, word in (("-12.3 … 12.3 mm", "fail"), ("≤ -12.3 mm", "pass"))
    ]
    wrong = []
    for name in names:
        wrong += misfits(draw(altered(views["align_retake"], reasons=(name,)), narrow, language)[0])
    for start in range(0, len(rows), LEAST_ROWS):
        shown = altered(views["review_fail"], rows=tuple(rows[start : start + LEAST_ROWS]))
        wrong += misfits(draw(shown, narrow, language, PanelPlace("details"))[0])
    assert wrong == []


def test_every_question_fits_where_it_is_asked_and_where_many_are_doubtful(draw, views, language):
    narrow = smaller((1920, 1080))
    names = [key.split(".")[1] for key in keys() if key.startswith("requirement.")]
    rows = [VerdictRow(name, "-12.3 mm", "-12.3 … 12.3 mm", "refer") for name in names]
    wrong = []
    for row in rows:
        wrong += misfits(draw(altered(views["review_doubt"], rows=(row,), reasons=(row.key,)), narrow, language)[0])
    assert wrong == []


def test_every_doubtful_point_is_asked_about_once_in_plain_words_and_its_number_is_behind_details(draw, views):
    rows = tuple(VerdictRow(key, "7.1", "≥ 7.0", "refer") for key in ("pitch", "roll", "margin_above"))
    shown = altered(
        views["review_doubt"],
        rows=(*views["review_pass"].review.rows, *rows),
        reasons=("pitch", "roll", "margin_above"),
    )
    texts = [block.text for _, block in draw(shown, (1080, 1920))[0].blocks]
    assert texts.count("Is the head straight?") == 1
    assert "Room above the head" in texts
    assert not any("7.1" in text for text in texts)
    details = [block.text for _, block in draw(shown, (1080, 1920), "en", PanelPlace("details"))[0].blocks]
    assert sum("7.1" in text for text in details) == 3


@pytest.mark.parametrize("name", ["review_pass", "review_two", "review_fail", "review_doubt", "review_attended"])
def test_at_most_two_things_can_be_done_about_a_photo(draw, views, size, name):
    stage, _ = draw(views[name], size)
    acts = [act for act in (target.act for target in stage.targets) if isinstance(act, Intent)]
    assert len([act for act in acts if act.name not in ("start_again", "pick")]) <= 2


def test_every_number_of_a_photo_is_on_a_page_of_its_details(draw, views, size):
    rows = views["review_doubts"].review.rows
    seen = set()
    for page in range(len(rows)):
        stage, _ = draw(views["review_doubts"], size, "en", PanelPlace("details", page=page))
        seen |= {block.text for _, block in stage.blocks}
    words = Words.load("en")
    assert {words.tr(f"requirement.{row.key}") for row in rows} <= seen


def test_only_a_photo_that_the_sitter_may_decide_for_can_be_printed_as_not_certain(draw, views):
    offers = {
        name
        for name, view in views.items()
        if Intent("accept_doubt") in [target.act for target in draw(view, (1080, 1920))[0].targets]
    }
    assert offers == {"review_doubt", "review_doubts"}


def test_the_shipped_documents_fit_on_the_list_and_on_their_card(draw, views, language):
    narrow = smaller((1920, 1080))
    offers = tuple(offer(document) for document in CATALOGUE.all())
    wrong = []
    for start in range(0, len(offers), LISTED):
        listed = altered(views["choose"], offers=offers[start : start + LISTED])
        wrong += misfits(draw(listed, narrow, language)[0])
    for document in offers:
        if language in ("de", "vi", "ur"):
            wrong += misfits(draw(altered(views["privacy"], document=document), narrow, language)[0])
    assert wrong == []


def test_no_two_shipped_documents_look_alike_on_the_list():
    words = Words.load("en")
    listed = [offer(document) for document in CATALOGUE.all()]
    looks = {(document_title(words, each), document_detail(words, each)) for each in listed}
    assert len(looks) == len(listed)


def test_a_text_too_long_for_its_box_is_set_smaller_but_never_cut(draw, views):
    long = "Personalausweisangelegenheitenverwaltungsverordnung " * 6
    document = replace(views["privacy"].document, title=long)
    stage, _ = draw(altered(views["privacy"], document=document), (1080, 1920))
    box, block = next((box, block) for box, block in stage.blocks if long in block.text)
    assert not block.fits
    assert block.width <= box.width
    assert block.height <= box.height


def test_no_word_is_broken():
    style = Style(theme.TEXT, bold=True)
    whole = fit("Українська", 5000, 200, (46,), style)
    assert fit("Українська", whole.width + 1, 200, (46,), style).fits
    for narrower in range(5, 120, 5):
        assert not fit("Українська", whole.width - narrower, 200, (46,), style).fits, narrower


def test_small_screens_show_the_same_layout(draw, view):
    large, small = draw(view, (1080, 1920))[0], draw(view, (720, 1280))[0]
    assert [target.act for target in small.targets] == [target.act for target in large.targets]
    assert [round(target.rect.width * 1.5, 6) for target in small.targets] == [
        round(target.rect.width, 6) for target in large.targets
    ]


@pytest.mark.parametrize("language", ["de", "ar"])
def test_targets_are_large_and_apart_and_on_the_screen(draw, view, size, language):
    stage, _ = draw(view, size, language)
    whole = Rect(0, 0, *map(float, size))
    for target in stage.targets:
        assert min(target.rect.width, target.rect.height) >= theme.TARGET, target
        assert whole.contains(target.rect), target
    for one, other in combinations(stage.targets, 2):
        assert not one.rect.overlaps(other.rect), (one, other)


def test_on_a_portrait_screen_all_is_touched_in_the_lower_half(draw, view):
    stage, _ = draw(view, (1080, 1920))
    assert all(target.rect.y >= 1920 / 2 for target in stage.targets)


@pytest.mark.parametrize("language", ["de", "ar"])
def test_texts_stay_on_the_screen_and_off_each_other(draw, view, size, language):
    stage, _ = draw(view, size, language)
    whole = Rect(0, 0, *map(float, size))
    assert all(whole.contains(box) for box, _ in stage.blocks)
    for (one, block), (other, neighbour) in combinations(stage.blocks, 2):
        assert not one.overlaps(other), (block.text, neighbour.text)


def test_capitals_can_be_read_at_arms_length_and_the_instruction_from_the_seat(draw, view, size):
    stage, _ = draw(view, size, "pl")
    pixel_mm = SCREEN_INCHES * 25.4 / math.hypot(1920, 1080)
    needed_mm = {
        distance: 1000 * distance * math.tan(math.radians(CAPITAL_DEG)) for distance in (TOUCHING_M, LOOKING_M)
    }
    heights_mm = [block.size * CAPITAL_HEIGHT * pixel_mm for _, block in stage.blocks]
    assert min(heights_mm) >= needed_mm[TOUCHING_M]
    assert max(heights_mm) >= needed_mm[LOOKING_M]


def test_the_instruction_is_the_largest_text(draw, every_instruction, size, language):
    for view in every_instruction.values():
        sizes = sorted(block.size for _, block in draw(view, smaller(size), language)[0].blocks)
        assert sizes[-1] in theme.INSTRUCTION
        assert sizes[-1] > sizes[-2]


def keys() -> list[str]:
    assert available()
    return [message.id for message in read_catalogue("en") if isinstance(message.id, str) and message.id]
