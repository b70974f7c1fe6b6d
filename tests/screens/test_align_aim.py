"""What the sitter aims by: the head's size in the panel, the dimmed rest, the arrow beside the head, and the lens."""

import math
from dataclasses import replace
from itertools import pairwise

import numpy as np
import pygame
import pytest

from kiosk.core.base.geometry import Rect
from kiosk.core.judging.framing import framing
from kiosk.core.session.instructions import CHECKS
from kiosk.core.view.align import Check
from kiosk.core.view.intent import Ease
from kiosk.core.view.sitter import SessionView
from kiosk.i18n import Words
from kiosk.screens.hardware import shutter_sound
from kiosk.screens.hardware.shutter_sound import CHANNEL, ShutterSound, clicks
from kiosk.screens.stage import Stage
from kiosk.screens.toolkit import lure, theme
from kiosk.screens.toolkit.cue_arrows import CUES, GLIDE, WAYS, cue
from kiosk.screens.toolkit.lens_tab import COUNT, beside_lens, counted
from kiosk.screens.toolkit.live_picture import LivePicture, crop_px
from tests.support.lasting_sounds import lasting
from tests.support.shipped import CATALOGUE
from tests.support.views import altered

GREY = np.full((800, 640, 3), 200, np.uint8)


def picture_of(stage, view):
    """Return the place of the live picture on the glass, without the tab's strip, and its pixels over grey."""
    pixels = stage.draw(view, GREY)
    (rect,) = [part.rect for part in stage.moving if isinstance(part, LivePicture)]
    panel, _ = beside_lens(rect, view.align.lens)
    return panel, pixels[round(panel.y) : round(panel.bottom), round(panel.x) : round(panel.right), :3].astype(int)


@pytest.mark.parametrize("document", CATALOGUE.all(), ids=lambda document: document.id)
def test_the_head_fills_two_thirds_of_the_panel_for_every_document(document):
    where = framing(document, 1600, 2000)
    crop = crop_px(640, 800, 984 / 740, where.guide, where.outer)
    assert 0.58 <= where.guide.height * 800 / crop.height <= 0.66
    assert crop.y <= where.outer.y * 800 + 1
    assert crop.bottom >= where.outer.bottom * 800 - 1


@pytest.mark.parametrize("strong", [True, False])
def test_what_the_crop_discards_is_dimmed_and_the_rest_is_not(draw, views, size, strong):
    view = altered(views["align_waiting"], ease=Ease(strong_contrast=strong))
    _, pixels = picture_of(draw(view, size)[0], view)
    middle = pixels.shape[0] // 2
    lit = np.flatnonzero(np.all(pixels[middle] == 200, axis=1))
    dark = np.flatnonzero(pixels[middle].max(axis=1) < 90)
    assert len(lit) > 0.3 * pixels.shape[1]
    assert dark.min() < lit.min() < lit.max() < dark.max()


@pytest.mark.parametrize("mirror", [True, False])
@pytest.mark.parametrize("key", CUES)
def test_the_arrow_stands_on_its_side_of_the_head(draw, every_instruction, size, key, mirror):
    """The sitter's left is the picture's left in a mirror, and its right in another picture."""
    view = altered(every_instruction[key], mirror=mirror)
    _, pixels = picture_of(draw(view, size)[0], view)
    amber = np.argwhere(np.all(pixels == theme.AMBER.bgra[:3], axis=2))[:, 1]
    left, right = (amber < pixels.shape[1] / 2).sum(), (amber >= pixels.shape[1] / 2).sum()
    drawn = CUES[key] if mirror else CUES[key][::-1]
    assert [left > 400, right > 400] == [drawing is not None for drawing in drawn]


@pytest.mark.parametrize("lens", ["above", "below", "left", "right"])
@pytest.mark.parametrize("language", ["en", "ar"])
def test_the_tab_lies_at_the_lens_whichever_way_the_language_reads(draw, views, size, lens, language):
    view = altered(views["align_holding"], lens=lens, language=language)
    stage, _ = draw(view, size, language)
    (part,) = [part for part in stage.moving if isinstance(part, LivePicture)]
    panel, strip = beside_lens(part.rect, lens)
    assert part.rect.contains(strip)
    edge = {"above": strip.y < panel.y, "below": strip.y >= panel.bottom, "left": strip.x < panel.x}
    assert edge.get(lens, strip.x >= panel.right)
    pixels = stage.draw(view, GREY)[round(strip.y) : round(strip.bottom), round(strip.x) : round(strip.right), :3]
    assert np.all(pixels == theme.GOOD.bgra[:3], axis=2).sum() > 1000


def test_it_counts_down_while_the_sitter_holds_still():
    assert [counted(fraction) for fraction in (0.0, 0.01, 0.4, 0.7, 1.0)] == [0, COUNT, 2, 1, 1]


@pytest.mark.parametrize("changes", [{}, {"ease": Ease(large_type=True)}, {"wants_person": True, "attended": True}])
def test_every_requirement_keeps_a_sign_of_its_own_that_changes_with_it(draw, views, size, changes):
    shown = draw(altered(views["align"], checks=tuple(Check(key, "pass") for key in CHECKS), **changes), size)[1]
    places = []
    for changed in CHECKS:
        checks = tuple(Check(key, "unmeasured" if key == changed else "pass") for key in CHECKS)
        differs = np.any(draw(altered(views["align"], checks=checks, **changes), size)[1] != shown, axis=2)
        columns = np.flatnonzero(differs.any(axis=0))
        places.append((columns.min(), columns.max()))
    assert all(before[1] < after[0] for before, after in pairwise(sorted(places)))
    assert places == sorted(places), "in a fixed order"


def test_the_photos_are_counted_upwards(draw, views, small):
    """From the card on the first, which failed, over the next words to the second; one that is lost is no fifth."""
    second = [altered(views[name], shot=1, shots=4) for name in ("align_retake", "align_remedy")]
    for view in (*second, altered(views["shooting"], shot=2, shots=4)):
        assert "Photo 2 of 4" in plain(draw(view, small)[0]), view.state
    assert "Photo 4 of 4" in plain(draw(altered(views["shooting"], shot=5, shots=4), small)[0])


def plain(stage):
    """Return the texts without the marks that isolate numbers."""
    return [block.text.translate({0x2068: None, 0x2069: None}) for _, block in stage.blocks]


def test_what_is_asked_for_is_named_and_nothing_else(draw, views, language):
    words = Words.load(language)
    shown = [block.text for _, block in draw(views["align"], (270, 480), language)[0].blocks]
    named = [key for key in CHECKS if words.tr(f"check.{key}") in shown]
    assert named == ["facing_forward"], "the light is amber as well, but the coach asks for the head to be turned"


@pytest.mark.parametrize("key", CUES)
def test_an_arrow_comes_in_glides_along_its_direction_and_rests_within_five_seconds(every_instruction, key):
    """WCAG 2.2, 2.2.2: what moves for longer must be possible to stop."""
    arrows = cue(key, Rect(0, 0, 900, 900), Rect(250, 100, 400, 600), mirror=True)
    assert arrows
    for arrow in arrows:
        path = [arrow.moved(frame / 30) for frame in range(300)]
        steps = [math.hypot(b[0] - a[0], b[1] - a[1]) for a, b in pairwise(path)]
        assert max(steps) < 5, "it glides, and never jumps"
        assert max(math.hypot(*place) for place in path) <= GLIDE + 1e-6
        assert set(path[150:]) == {(0.0, 0.0)}
        x, y = WAYS[arrow.drawing]
        assert max(place[0] * x + place[1] * y for place in path) == pytest.approx(GLIDE, abs=0.5)


@pytest.mark.parametrize("less_motion", [False, True])
def test_the_arrow_stays_in_the_picture_leaves_no_trace_and_rests_where_motion_is_unwanted(
    every_instruction, size, less_motion
):
    view = altered(every_instruction["move_left"], ease=Ease(less_motion=less_motion))
    stage = Stage(size, Words.load("en"))
    moments = [stage.draw(altered(view, now_s=frame / 10), GREY).copy() for frame in range(30)]
    rest = stage.draw(altered(view, now_s=9.0), GREY).copy()
    (part,) = [part for part in stage.moving if isinstance(part, LivePicture)]
    inside = stage.changed[-1]
    moved = [moment for moment in moments if np.any(moment != rest)]
    assert bool(moved) is not less_motion
    for moment in moments:
        outside = moment.copy()
        outside[inside] = rest[inside]
        assert np.array_equal(outside, rest), part.rect
    assert np.array_equal(rest, Stage(size, Words.load("en")).draw(altered(view, now_s=9.0), GREY))


@pytest.mark.parametrize("lens", ["above", "below", "left", "right"])
@pytest.mark.parametrize("care", ["child", "lying"])
def test_a_bird_at_the_lens_lures_a_child_and_nobody_else(draw, views, size, lens, care):
    def yellow(**changes):
        view = altered(views["align_waiting"], lens=lens, **changes)
        stage, _ = draw(view, size)
        (part,) = [part for part in stage.moving if isinstance(part, LivePicture)]
        _, strip = beside_lens(part.rect, lens, is_lured=view.care != "self")
        pixels = stage.draw(view, GREY)[round(strip.y) : round(strip.bottom), round(strip.x) : round(strip.right), :3]
        rows, columns = np.nonzero(np.all(pixels == lure.BODY.bgra[:3], axis=2))
        return rows, columns, pixels.shape

    rows, columns, shape = yellow(care=care, now_s=2.0)
    assert len(rows) > 2000
    assert abs(np.mean(rows) - shape[0] / 2) < 30
    assert abs(np.mean(columns) - shape[1] / 2) < 30, "in the middle, where the lens is"
    assert len(yellow(care="self", now_s=2.0)[0]) == 0


def test_the_bird_sits_still_where_motion_is_unwanted(draw, views):
    def shown(now_s, ease):
        return draw(altered(views["align_child"], now_s=now_s, ease=ease), (540, 960))[1].astype(int)

    still = Ease(less_motion=True)
    assert np.abs(shown(1.0, still) - shown(2.3, still)).max() < 8, "rounding at the picture's corners"
    assert np.abs(shown(1.0, Ease()) - shown(2.3, Ease())).max() > 64


def clicked() -> bool:
    """Return whether the shutter's channel plays, and stop it."""
    busy = pygame.mixer.Channel(CHANNEL).get_busy()
    pygame.mixer.Channel(CHANNEL).stop()
    return busy


def test_the_shutter_sounds_once_a_shot(monkeypatch):
    monkeypatch.setattr(shutter_sound, "clicks", lambda: lasting(clicks()))
    shutter, heard = ShutterSound(1), []
    aligning = SessionView(state="align")
    for state in ("align", "shooting", "shooting", "measuring", "align", "shooting"):
        shutter.follow(replace(aligning, state=state))
        heard.append(clicked())
    assert heard == [False, True, False, False, False, True]
    assert 0.05 < np.abs(clicks()).max() / 32767 < 0.7, "soft"
    silent = ShutterSound(0)
    silent.follow(replace(aligning, state="shooting"))
    assert not clicked()
    shutter.close()
    shutter.close()
