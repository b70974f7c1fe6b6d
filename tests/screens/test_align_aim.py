"""What the sitter aims by: the head's size in the panel, the dimmed rest, the arrow beside the head, and the lens."""

from dataclasses import replace

import numpy as np
import pygame
import pytest

from kiosk.catalogue.documents import Catalogue
from kiosk.core.judging.framing import framing
from kiosk.core.session.instructions import CHECKS
from kiosk.core.view.intent import Ease
from kiosk.core.view.sitter import SessionView
from kiosk.i18n import Words
from kiosk.screens.hardware.shutter_sound import CHANNEL, ShutterSound, clicks
from kiosk.screens.toolkit import theme
from kiosk.screens.toolkit.cue_arrows import CUES
from kiosk.screens.toolkit.lens_tab import COUNT, beside_lens, counted
from kiosk.screens.toolkit.live_picture import LivePicture, crop_px
from tests.support.views import altered

GREY = np.full((800, 640, 3), 200, np.uint8)


def picture_of(stage, view):
    """Return the place of the live picture on the glass, without the tab's strip, and its pixels over grey."""
    pixels = stage.draw(view, GREY)
    (rect,) = [part.rect for part in stage.moving if isinstance(part, LivePicture)]
    panel, _ = beside_lens(rect, view.align.lens)
    return panel, pixels[round(panel.y) : round(panel.bottom), round(panel.x) : round(panel.right), :3].astype(int)


@pytest.mark.parametrize("document", Catalogue.load().all(), ids=lambda document: document.id)
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
    amber = np.argwhere(np.all(pixels == theme.ACCENT.bgra[:3], axis=2))[:, 1]
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
def test_no_sign_is_dropped(draw, views, size, language, changes):
    view = altered(views["align"], **changes)
    words = Words.load(language)
    shown = [block.text for _, block in draw(view, (size[0] // 4, size[1] // 4), language)[0].blocks]
    assert {words.tr(f"check.{key}") for key in CHECKS} <= set(shown)


def test_larger_text_makes_the_signs_names_larger(draw, views):
    def smallest(ease):
        view = altered(views["align"], ease=ease)
        names = {Words.load("en").tr(f"check.{key}") for key in CHECKS}
        return min(block.size for _, block in draw(view, (1080, 1920))[0].blocks if block.text in names)

    assert smallest(Ease(large_type=True)) > smallest(Ease())


def clicked() -> bool:
    """Return whether the shutter's channel plays, and stop it."""
    busy = pygame.mixer.Channel(CHANNEL).get_busy()
    pygame.mixer.Channel(CHANNEL).stop()
    return busy


def test_the_shutter_sounds_once_a_shot():
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
