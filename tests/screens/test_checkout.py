"""Before printing the sitter sees the sheet as it will be, and steps through the numbers on offer."""

from dataclasses import replace

import numpy as np
import pytest

from kiosk.core.view.intent import Intent
from kiosk.i18n import Words
from tests.support.views import altered


def test_the_sheet_has_its_true_proportions_and_the_sitters_own_photos(draw, views, size):
    """The paper is white, 152.4 x 101.6 mm; what lies inside its edge and is not white are eight photos."""
    view = views["copies"]
    shown, bare = (
        draw(altered(view, sheets_offered=(1,), photo_jpeg=jpeg), size)[1][..., :3].astype(int)
        for jpeg in (view.review.photo_jpeg, b"")
    )
    changed = np.argwhere(np.any(shown != bare, axis=2))
    white = np.argwhere(np.all(shown == 255, axis=2) & np.any(shown != bare, axis=2))
    (top, left), (bottom, right) = white.min(axis=0), white.max(axis=0)
    assert max(bottom - top, right - left) / min(bottom - top, right - left) == pytest.approx(152.4 / 101.6, rel=0.02)
    assert len(changed) > 0
    paper = shown[top : bottom + 1, left : right + 1]
    covered = np.mean(np.any(paper != 255, axis=2))
    assert covered == pytest.approx(8 * 35 * 45 / (152.4 * 101.6), abs=0.05)


@pytest.mark.parametrize("turned", [True, False])
def test_the_heads_on_the_sheet_are_upright_whichever_way_the_paper_then_lies(draw, views, size, turned):
    """The paper is 101.6 mm wide and 152.4 mm high, as the printer takes it."""
    view = views["copies"]
    photos = tuple(replace(photo, turned=turned) for photo in view.sheet.placements)
    shown, bare = (
        draw(altered(view, placements=photos, photo_jpeg=jpeg), size)[1][..., :3].astype(int)
        for jpeg in (view.review.photo_jpeg, b"")
    )
    paper = np.argwhere(np.all(shown == 255, axis=2) & np.any(shown != bare, axis=2))
    height, width = np.ptp(paper, axis=0)
    assert bool(width > height) is turned


@pytest.mark.parametrize("name", ["copies", "copies_papers", "copies_credit"])
def test_what_is_chosen_stands_right_above_the_button_that_takes_it(draw, views, size, name):
    stage, _ = draw(views[name], size)
    chosen = [target.rect for target in stage.targets if getattr(target.act, "name", "") in ("paper", "sheets")]
    (on,) = [target.rect for target in stage.targets if target.act == Intent("print")]
    assert 0 < on.y - max(rect.bottom for rect in chosen) < 30


@pytest.mark.parametrize(
    ("sheets", "steps"), [(1, {"2"}), (2, {"1", "4"}), (4, {"2"})], ids=["fewest", "between", "most"]
)
def test_the_number_is_stepped_through_what_is_on_offer(draw, views, size, sheets, steps):
    stage, _ = draw(altered(views["copies"], sheets_offered=(1, 2, 4), sheets=sheets), size)
    acts = {target.act for target in stage.targets if isinstance(target.act, Intent) and target.act.name == "sheets"}
    assert acts == {Intent("sheets", count) for count in steps}
    assert Words.load("en").tr("copies.sheets", count=sheets) in [block.text for _, block in stage.blocks]
