"""What a carer reads and sees, and what a sitter is told when the booth is out of order."""

from typing import get_args

import numpy as np
import pytest

from kiosk.core.base.geometry import Size
from kiosk.core.session.instructions import FROM_STILL, Instruction
from kiosk.core.session.presenter import TROUBLES
from kiosk.core.view.sitter import Trouble
from kiosk.errors import all_errors
from kiosk.i18n import Words
from kiosk.screens.sitter.align import LYING, head_place, instruction_text, parted
from kiosk.screens.spoken import KEYS, spoken
from kiosk.screens.toolkit import theme
from kiosk.screens.toolkit.layout import layout
from kiosk.screens.toolkit.text import Style, fit
from tests.support.views import altered

CARER = (
    *(f"carer.{key}" for key in (*Instruction, "again") if key not in FROM_STILL),
    *(f"lying.{key}" for key in LYING),
    *(f"{step}.{key}" for step in ("instruction", "again") for key in FROM_STILL),
)


def boxes():
    for size in (Size(1080, 1920), Size(1920, 1080)):
        yield parted(head_place(layout(size), is_portrait=size.height > size.width))[1]


def test_every_word_for_a_carer_fits_beside_its_drawing(language):
    words, style, wrong = Words.load(language), Style(theme.TEXT, bold=True), []
    for box in boxes():
        for scale in (theme.INSTRUCTION, theme.larger(theme.INSTRUCTION)):
            wrong += [key for key in CARER if not fit(words.tr(key), box.width, box.height, scale, style).fits]
    assert wrong == []


def test_a_carer_is_spoken_to_of_the_child_and_then_shown_the_picture(views):
    words, view = Words.load("en"), altered(views["align_child"], instruction="move_left")
    assert instruction_text(words, view) == "Move the child a little to its own left"
    assert instruction_text(words, altered(view, has_other_words=True)) == "Follow the picture. There is time."
    assert (
        instruction_text(words, altered(view, care="lying", instruction="move_closer")) == "Lower the camera a little"
    )
    assert instruction_text(words, altered(view, care="lying")) == "Move the child a little to its own left"
    assert instruction_text(words, altered(view, care="self")) == "Move a little to your left"
    assert instruction_text(words, altered(view, instruction="")) == "Bring the child in front of the camera"
    for care in ("child", "lying"):
        for instruction in Instruction:
            assert spoken(altered(view, care=care, instruction=instruction)) in KEYS


def test_an_arrow_points_to_the_same_side_as_in_the_picture(draw, views):
    """The picture of a lying baby is no mirror, so the drawing beside it is turned round."""
    mirror = altered(views["align_child"], instruction="move_left")
    plain = altered(mirror, mirror=False)
    left = round(theme.MARGIN)
    one, other = (draw(view, (1080, 1920))[1][93:423, left : left + 280].astype(int) for view in (mirror, plain))
    assert np.abs(one[:, ::-1] - other).mean() < 2
    assert np.abs(one - other).mean() > 10


def test_every_trouble_is_said_in_the_sitters_language(draw, views, language):
    seen = set()
    for trouble in get_args(Trouble):
        for size in ((270, 480), (480, 270)):
            stage, _ = draw(altered(views["out_of_order"], trouble=trouble), size, language)
            assert all(block.fits for _, block in stage.blocks), trouble
        seen.add(tuple(block.text for _, block in stage.blocks))
    assert len(seen) == len(get_args(Trouble))


def test_only_the_card_for_the_attendant_is_in_english(draw, views):
    view = views["out_of_order"]
    stage, _ = draw(view, (1080, 1920), "ar")
    english = [block.text for _, block in stage.blocks if any("a" <= letter <= "z" for letter in block.text)]
    assert [text.strip("\u2066\u2067\u2068\u2069") for text in english] == list(view.fault)
    texts = [block.text for _, block in stage.blocks]
    heading = Words.load("ar").tr("out_of_order.attendant")
    assert texts.index(heading) < min(map(texts.index, english))


@pytest.mark.parametrize(("key", "trouble"), TROUBLES.items())
def test_troubles_are_of_errors_that_there_are(key, trouble):
    known = {kind.key for kind in all_errors()} | {"no_paper", "shut_by_attendant"}
    assert key in known
    assert trouble in get_args(Trouble)
